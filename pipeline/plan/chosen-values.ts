import type { Findings, Locate } from './findings.ts';
import {
  type FormulaFault,
  formulaValue,
  type Quantity,
  readFormula,
  readQuantity,
  type Slip,
} from './formula.ts';
import { chosenText, isMapping } from './raw-merge.ts';
import { adviseName } from './suggestion.ts';
import type { ChosenFigure } from './variant.ts';
import type { FieldPath } from './yaml-source.ts';

/** What a template lets be chosen, as it is written: a value within limits, or one of some words. */
export interface Choosable {
  value?: unknown;
  from?: unknown;
  to?: unknown;
  words?: string[];
}

/** Everything under `let` of a raw template, by name. */
export function chosenIn(raw: unknown): [name: string, chosen: Choosable][] {
  const written = isMapping(raw) && isMapping(raw.let) ? raw.let : {};
  return Object.entries(written).map(([name, each]) => {
    const { 'one-of': words, value, from, to } = isMapping(each) ? each : chosenText(each);
    const known = Array.isArray(words) ? words.map(String) : undefined;
    return [name, { value: value ?? known?.[0], from, to, ...(known && { words: known }) }];
  });
}

/** Figures of a template that has been worked out which were chosen within limits. */
export function chosenFigures(raw: unknown): ChosenFigure[] {
  return chosenIn(raw).flatMap(([name, chosen]) => {
    const [value, from, to] = [chosen.value, chosen.from, chosen.to].map(readQuantity);
    return value && from && to ? [{ name, value, from, to }] : [];
  });
}

/** What names of a template stand for. */
export interface KnownValues {
  figures: Map<string, Quantity>;
  words: Map<string, string>;
}

/**
 * What a template lets be chosen, each within its limits and in the order in which it is written: a value may follow those
 * before it. What is wrong is reported.
 * @param figures what may be named beside it; added to
 */
export function chosenValues(
  raw: unknown,
  figures: Map<string, Quantity>,
  findings: Findings,
  locate: Locate,
): KnownValues {
  const words = new Map<string, string>();
  for (const [name, chosen] of chosenIn(raw)) {
    const path = ['let', name];
    if (chosen.words) {
      words.set(name, String(chosen.value));
      if (chosen.words.includes(String(chosen.value))) continue;
      const expected = `one of ${chosen.words.join(', ')}, as the template lets`;
      const advice = adviseName(String(chosen.value), chosen.words);
      findings.add(
        { code: 'out-of-range', path, expected, received: JSON.stringify(chosen.value), advice },
        locate,
      );
      continue;
    }
    const figure = (written: unknown) => figureOf(written, figures, path, findings, locate);
    const [least, most] = [chosen.from, chosen.to].map((w) => (w === undefined ? undefined : figure(w)));
    const own = chosen.value === undefined ? middleOf(least, most) : figure(chosen.value);
    if (!own) continue;
    figures.set(name, own);
    const beyond = (limit: Quantity | undefined, way: 1 | -1) =>
      limit !== undefined && (limit.unit !== own.unit || way * (own.value - limit.value) < -1e-9);
    if (!beyond(least, 1) && !beyond(most, -1)) continue;
    findings.add(
      {
        code: 'out-of-range',
        path,
        expected: `a value ${[least && `from ${inWords(least)}`, most && `to ${inWords(most)}`].filter(Boolean).join(' ')}, as the template lets`,
        received: inWords(own),
        advice: 'Choose a value within these limits, in their unit.',
      },
      locate,
    );
  }
  return { figures, words };
}

export const inWords = ({ value, unit }: Quantity) =>
  [Number(value.toFixed(6)), unit].filter(String).join(' ');

function middleOf(least: Quantity | undefined, most: Quantity | undefined): Quantity | undefined {
  if (!least || !most || least.unit !== most.unit) return least;
  return { value: (least.value + most.value) / 2, unit: least.unit };
}

/** A figure or formula as a figure; what is neither is reported. */
function figureOf(
  written: unknown,
  known: ReadonlyMap<string, Quantity>,
  path: FieldPath,
  findings: Findings,
  locate: Locate,
): Quantity | undefined {
  const plain = readQuantity(written);
  if (plain) return plain;
  const formula = typeof written === 'string' ? readFormula(written) : undefined;
  const received = JSON.stringify(written) ?? 'nothing';
  const report = (told: ReturnType<typeof faultOf>) => void findings.add({ ...told, path, received }, locate);
  if (!formula) {
    const advice = 'Write a figure with its unit, a formula, or "one-of" with words.';
    report({ code: 'wrong-unit', expected: 'a figure such as "0.5 mm"', advice });
    return undefined;
  }
  if ('wanted' in formula) {
    report(slipOf(formula));
    return undefined;
  }
  const found = formulaValue(formula, known);
  if (typeof found === 'object') report(faultOf(found, [...known.keys()]));
  return readQuantity(found);
}

export function slipOf({ at, wanted }: Slip) {
  const advice = 'A formula is written as "0.5 * (swing + 0.1 mm)", with room about a minus after a name.';
  return { code: 'no-formula', expected: `${wanted} at character ${at} of the formula`, advice };
}

export function faultOf(fault: FormulaFault, names: readonly string[]) {
  if ('unknown' in fault)
    return {
      code: 'unknown-name',
      expected: `one of ${names.join(', ')} in a formula`,
      advice: adviseName(fault.unknown, names),
    };
  if ('nothing' in fault)
    return {
      code: 'no-formula',
      expected: 'a formula that comes to a number',
      advice: `It comes to ${fault.nothing}: check what it divides by.`,
    };
  return {
    code: 'mixed-units',
    expected: 'a formula of one unit, or of % and mm',
    advice: `Its terms are of ${fault.units.join(', ')}: add and subtract what is of one unit, multiply by bare numbers.`,
  };
}
