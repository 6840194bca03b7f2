import { chosenValues, faultOf, inWords, type KnownValues, slipOf } from './chosen-values.ts';
import type { Findings, Locate } from './findings.ts';
import { formulaValue, readFormula, readQuantity, withValue } from './formula.ts';
import { chosenText, isMapping, mergeRaw, valueAt } from './raw-merge.ts';
import { adviseName } from './suggestion.ts';
import { type TemplateField, templateFields } from './template-fields.ts';

/** What formulas may name beside what a template lets be chosen; mm. */
export interface Measured {
  /** inner circumference */
  size: number;
  /** of the grid; the template's own where absent */
  width?: number;
}

/** Whether what a template comes to hangs on the size or width of the grid: whether any formula names something. */
export function followsSize(raw: unknown): boolean {
  return templateFields(raw).some((field) => {
    const formula = formulaIn(field);
    return formula !== undefined && 'names' in formula && formula.names.length > 0;
  });
}

/** What is written in a field in place of a figure, if it is that. */
function formulaIn({ raw, kind, words = [] }: TemplateField) {
  if (typeof raw !== 'string' || kind === 'text' || kind === 'choice' || words.includes(raw))
    return undefined;
  return readFormula(raw);
}

/**
 * A template with its sets put in place and its formulas worked out, to be read as if it had been written so. Names that
 * nothing has and values beyond their limits are reported.
 */
export function workedTemplate(raw: unknown, at: Measured, findings: Findings, locate: Locate): unknown {
  const whole = withSets(raw, findings, locate);
  const known = chosenValues(whole, new Map([['size', { value: at.size, unit: 'mm' }]]), findings, locate);
  let worked = whole;
  // width and thickness first: others may follow them
  const fields = templateFields(whole).filter(({ path }) => path[0] !== 'let');
  const rank = ({ path: [key, ...rest] }: TemplateField) =>
    rest.length > 0 ? 2 : key === 'width' ? 0 : key === 'thickness' ? 1 : 2;
  for (const field of fields.toSorted((a, b) => rank(a) - rank(b))) {
    const value = workedField(field, known, findings, locate);
    if (value !== field.raw) worked = withValue(worked, field.path, value);
    const [key, ...rest] = field.path;
    if (rest.length > 0 || (key !== 'width' && key !== 'thickness')) continue;
    const own = key === 'width' && at.width !== undefined ? at.width : readQuantity(value)?.value;
    if (own !== undefined) known.figures.set(key, { value: own, unit: 'mm' });
  }
  return withChosen(worked, known);
}

/** What a field comes to: its formula's value, the word that its name stands for, or what is written. */
function workedField(
  field: TemplateField,
  { figures, words }: KnownValues,
  findings: Findings,
  locate: Locate,
): unknown {
  const { raw, path, kind } = field;
  if (kind === 'choice' && typeof raw === 'string' && !field.words?.includes(raw))
    return words.get(raw) ?? raw;
  const formula = formulaIn(field);
  if (!formula) return raw;
  const report = (told: ReturnType<typeof faultOf>) =>
    findings.add({ ...told, path, received: JSON.stringify(raw) }, locate);
  if ('wanted' in formula) {
    // what names nothing known was not meant as a formula: its schema says what it should be
    const meant = String(raw).match(/[a-z][a-z0-9-]*/g) ?? [];
    if (meant.some((name) => figures.has(name))) report(slipOf(formula));
    return raw;
  }
  const found = formulaValue(formula, figures);
  if (typeof found !== 'object') return found;
  report(faultOf(found, [...figures.keys()]));
  return raw;
}

/** What can be chosen as it came out, so that nothing is left to be worked out. */
function withChosen(raw: unknown, { figures, words }: KnownValues): unknown {
  if (!isMapping(raw) || !isMapping(raw.let)) return raw;
  const out = Object.entries(raw.let).map(([name, each]) => {
    const figure = figures.get(name);
    const value = figure ? inWords(figure) : words.get(name);
    return [name, value === undefined ? each : { ...(isMapping(each) ? each : chosenText(each)), value }];
  });
  return { ...raw, let: Object.fromEntries(out) };
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
