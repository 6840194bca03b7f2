import type { Findings, Locate } from './findings.ts';
import {
  type FormulaFault,
  formulaTerms,
  formulaValue,
  type Quantity,
  readQuantity,
  withValue,
} from './formula.ts';
import { isMapping, mergeRaw, valueAt } from './raw-merge.ts';
import { adviseName } from './suggestion.ts';
import { templateFields } from './template-fields.ts';

/** What formulas may name beside what a template lets be chosen; mm. */
export interface Measured {
  /** inner circumference */
  size: number;
  /** of the grid; the template's own where absent */
  width?: number;
}

/** Whether what a template comes to hangs on the size or width of the grid. */
export function followsSize(raw: unknown): boolean {
  return templateFields(raw).some(({ raw: text }) =>
    (typeof text === 'string' ? (formulaTerms(text) ?? []) : []).some(({ name }) => name !== undefined),
  );
}

/**
 * A template with its sets put in place and its formulas worked out, to be read as if it had been written so. Names that
 * nothing has and values beyond their limits are reported.
 */
export function workedTemplate(raw: unknown, at: Measured, findings: Findings, locate: Locate): unknown {
  const whole = withSets(raw, findings, locate);
  const known = chosenValues(whole, findings, locate);
  known.set('size', { value: at.size, unit: 'mm' });
  let worked = whole;
  // width and thickness first: others may follow them
  const fields = templateFields(whole).filter(({ path }) => path[0] !== 'let');
  const rank = ({ path: [key, ...rest] }: (typeof fields)[number]) =>
    rest.length > 0 ? 2 : key === 'width' ? 0 : key === 'thickness' ? 1 : 2;
  for (const field of fields.toSorted((a, b) => rank(a) - rank(b))) {
    const terms =
      typeof field.raw === 'string' && field.kind !== 'text' ? formulaTerms(field.raw) : undefined;
    const words = field.words ?? [];
    let value = field.raw;
    if (terms && !words.includes(String(field.raw)) && field.kind !== 'choice') {
      const found = formulaValue(terms, known);
      if (typeof found === 'object')
        findings.add(
          { ...faultOf(found, known), path: field.path, received: JSON.stringify(field.raw) },
          locate,
        );
      else {
        value = found;
        worked = withValue(worked, field.path, found);
      }
    }
    if (field.path.length > 1) continue;
    const quantity =
      field.path[0] === 'width' && at.width !== undefined
        ? { value: at.width, unit: 'mm' as const }
        : readQuantity(value);
    if (quantity && (field.path[0] === 'width' || field.path[0] === 'thickness'))
      known.set(field.path[0], { ...quantity, unit: 'mm' });
  }
  return worked;
}

function faultOf(fault: FormulaFault, known: ReadonlyMap<string, Quantity>) {
  const names = [...known.keys()];
  if ('unknown' in fault)
    return {
      code: 'unknown-name',
      expected: `one of ${names.join(', ')} in a formula`,
      advice: adviseName(fault.unknown, names),
    };
  return {
    code: 'mixed-units',
    expected: 'a formula of one unit, or of % and mm',
    advice: `Its terms are of ${fault.units.join(', ')}: write all of them in one.`,
  };
}

/** Lanes and rows that are made as a set says, with what they say themselves laid over it. */
function withSets(raw: unknown, findings: Findings, locate: Locate): unknown {
  if (!isMapping(raw)) return raw;
  const sets = isMapping(raw.sets) ? raw.sets : {};
  const out: Record<string, unknown> = { ...raw };
  for (const part of ['lanes', 'rows'] as const) {
    const entries = raw[part];
    if (!isMapping(entries)) continue;
    out[part] = Object.fromEntries(
      Object.entries(entries).map(([name, value]) => {
        if (!isMapping(value) || typeof value.as !== 'string') return [name, value];
        const { as, ...own } = value;
        const set = valueAt(sets, [as as string]);
        if (isMapping(set)) return [name, mergeRaw(set, own, [part, name])];
        const names = Object.keys(sets);
        findings.add(
          {
            code: 'unknown-name',
            path: [part, name, 'as'],
            expected: names.length > 0 ? `one of ${names.join(', ')}` : 'a set of the template’s "sets"',
            received: JSON.stringify(as),
            advice: adviseName(as as string, names),
          },
          locate,
        );
        return [name, own];
      }),
    );
  }
  return out;
}

/** What a template lets be chosen, each within its limits. */
function chosenValues(raw: unknown, findings: Findings, locate: Locate): Map<string, Quantity> {
  const written = isMapping(raw) && isMapping(raw.let) ? raw.let : {};
  const known = new Map<string, Quantity>();
  for (const [name, each] of Object.entries(written)) {
    const { value, from, to } = isMapping(each) ? each : { value: each, from: undefined, to: undefined };
    const own = readQuantity(value);
    // what is no figure is reported with its schema
    if (!own) continue;
    known.set(name, own);
    const [least, most] = [readQuantity(from), readQuantity(to)];
    const beyond = (limit: Quantity | undefined, way: 1 | -1) =>
      limit !== undefined && (limit.unit !== own.unit || way * (own.value - limit.value) < -1e-9);
    if (!beyond(least, 1) && !beyond(most, -1)) continue;
    findings.add(
      {
        code: 'out-of-range',
        path: ['let', name],
        expected: `a value ${[from && `from ${from}`, to && `to ${to}`].filter(Boolean).join(' ')}, as the template lets`,
        received: String(value),
        advice: 'Choose a value within these limits, in their unit.',
      },
      locate,
    );
  }
  return known;
}
