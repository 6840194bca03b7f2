import type { BenchCheck } from '../band/built-shape.ts';
import type { Lane } from '../band/lane.ts';
import type { ShapeDesign } from '../catalogue/design.ts';
import type { BenchRuleName, LimitedRule, LimitSettings } from '../trade/bench-limits.ts';
import { phrase, type Words } from '../trade/bench-words.ts';
import type { Marks } from './marks.ts';
import type { RowPlan, WholeRow } from './row-plan.ts';

/** What rules look at: everything known of a shape before it is cut. */
export interface BenchView {
  design: ShapeDesign;
  lanes: Lane[];
  rows: WholeRow[];
  /** absent if there are none */
  marks?: Marks;
  /** limits that take the place of the usual ones */
  limits?: LimitSettings;
}

/** One finding of a rule; a rule may have several, or none where it does not apply. */
export interface Finding {
  passed: boolean;
  limit: Words;
  measured: Words;
  place: Words;
  /** how far within the limit, larger for better; compares the sizes of a row where there are several */
  margin?: number;
}

/** A rule of the bench: how bad it is to break it, and where its limit comes from. */
interface Rule {
  rule: BenchRuleName;
  severity: BenchCheck['severity'];
  source: string;
}

/** Measured once for the band. */
export interface BandRule extends Rule {
  measure(view: BenchView): Finding[];
}

/** Measured for each row. */
export interface RowRule extends Rule {
  measureRow(row: WholeRow, view: BenchView): Finding[];
}

/** Measured for each size of stone in a row; the same number of findings for every size, or none. */
export interface SetRule extends Rule {
  measureSet(set: RowPlan, view: BenchView): Finding[];
}

export type BenchRule = BandRule | RowRule | SetRule;

/** Cast walls of at least 0.40 mm, broad areas 0.50 mm, edge radii 0.125 mm: morrisandwatson.com CAD design guidelines. */
export const CAST_SOURCE = 'morrisandwatson.com/casting/cad-design-guidelines';

/** The config's limit, or the usual one. */
export function limitOf({ limits }: BenchView, rule: LimitedRule, usual: number): number {
  return limits?.[rule] ?? usual;
}

export function atLeast(limit: number, value: number, place: Words): Finding {
  const margin = value - limit;
  const said = phrase('at-least', { limit: { mm: limit } });
  return { passed: margin >= -1e-9, limit: said, measured: { mm: value }, place, margin };
}

export function atMost(limit: number, value: number, place: Words): Finding {
  const margin = limit - value;
  const said = phrase('at-most', { limit: { mm: limit } });
  return { passed: margin >= -1e-9, limit: said, measured: { mm: value }, place, margin };
}
