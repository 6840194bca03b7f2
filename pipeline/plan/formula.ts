import { isMapping } from './raw-merge.ts';

/**
 * Values that follow others, as they are written in templates: `2.2 mm + 4 % of size`, `swing`, `0.5 * swing - 0.1 mm`.
 * A formula is terms joined by + and −; a term is a figure with its unit, a name, a percentage of a name, or a figure
 * times a name. What it comes to is written out with its unit and read as any other value.
 */

/** A figure by its unit; a bare number has none. */
export interface Quantity {
  value: number;
  unit: Unit;
}

const UNITS = ['mm', 'deg', '%', ''] as const;
type Unit = (typeof UNITS)[number];

const FIGURE = String.raw`(?:\d+\.?\d*|\.\d+)`;
const NAME = '[a-z][a-z0-9-]*';
const PLAIN = new RegExp(String.raw`^(${FIGURE})\s*(mm|deg|°|%)?$`);
const SHARE_OF = new RegExp(String.raw`^(${FIGURE})\s*%\s+of\s+(${NAME})$`);
const TIMES = new RegExp(String.raw`^(${FIGURE})\s*[*×]\s*(${NAME})$`);
const ALONE = new RegExp(`^(${NAME})$`);

interface Term {
  sign: 1 | -1;
  figure: number;
  unit: Unit;
  /** what the figure multiplies */
  name?: string;
}

/** The terms of a text; undefined if it is no formula or names nothing. */
export function formulaTerms(text: string): Term[] | undefined {
  // a minus within a name has no room about it
  const parts = text.trim().split(/(?:^|\s+)([+-])\s+/);
  const terms: Term[] = [];
  let sign: 1 | -1 = 1;
  for (const [i, part] of parts.entries()) {
    if (i % 2 === 1) {
      sign = part === '-' ? -1 : 1;
      continue;
    }
    const term = part === '' && i === 0 ? undefined : readTerm(part.trim());
    if (!term && i > 0) return undefined;
    if (!term && part !== '') return undefined;
    if (term) terms.push({ sign, ...term });
  }
  return terms.some(({ name }) => name !== undefined) ? terms : undefined;
}

function readTerm(text: string): Omit<Term, 'sign'> | undefined {
  const share = SHARE_OF.exec(text);
  if (share) return { figure: Number(share[1]) / 100, unit: '', name: share[2] };
  const times = TIMES.exec(text);
  if (times) return { figure: Number(times[1]), unit: '', name: times[2] };
  const alone = ALONE.exec(text);
  if (alone) return { figure: 1, unit: '', name: alone[1] };
  const plain = PLAIN.exec(text);
  if (!plain) return undefined;
  return { figure: Number(plain[1]), unit: (plain[2] === '°' ? 'deg' : (plain[2] ?? '')) as Unit };
}

/** A figure as files have it; undefined if it is none. */
export function readQuantity(written: unknown): Quantity | undefined {
  if (typeof written === 'number') return { value: written, unit: '' };
  if (typeof written !== 'string') return undefined;
  const signed = /^([+-]?)(.*)$/.exec(written.trim());
  const plain = signed && readTerm(signed[2]);
  if (!plain || plain.name !== undefined) return undefined;
  return { value: signed[1] === '-' ? -plain.figure : plain.figure, unit: plain.unit };
}

/** What keeps a formula from coming to anything: a name that nothing has, or units that do not go together. */
export type FormulaFault = { unknown: string } | { units: string[] };

/** The value of a formula, as it would be written without one. */
export function formulaValue(
  terms: readonly Term[],
  known: ReadonlyMap<string, Quantity>,
): string | number | FormulaFault {
  const sums = new Map<Unit, number>();
  for (const { sign, figure, unit, name } of terms) {
    const named = name === undefined ? undefined : known.get(name);
    if (name !== undefined && !named) return { unknown: name };
    const own = named?.unit ?? unit;
    sums.set(own, (sums.get(own) ?? 0) + sign * figure * (named?.value ?? 1));
  }
  const units = [...sums.keys()].sort((a, b) => UNITS.indexOf(a) - UNITS.indexOf(b));
  const figure = (unit: Unit) => Number((sums.get(unit) as number).toFixed(6));
  if (units.length === 1) return units[0] === '' ? figure('') : `${figure(units[0])} ${units[0]}`;
  // a place across the band: a share of the width, and so many mm more or less
  if (units.length !== 2 || units[0] !== 'mm' || units[1] !== '%')
    return { units: units.map((u) => u || 'none') };
  const mm = figure('mm');
  return `${figure('%')} % ${mm < 0 ? '-' : '+'} ${Math.abs(mm)} mm`;
}

/** The same tree with another value at a path. */
export function withValue(
  raw: unknown,
  [key, ...rest]: readonly (string | number)[],
  value: unknown,
): unknown {
  if (key === undefined) return value;
  if (Array.isArray(raw)) return raw.map((each, i) => (i === key ? withValue(each, rest, value) : each));
  if (!isMapping(raw)) return raw;
  return { ...raw, [key]: withValue(raw[key], rest, value) };
}
