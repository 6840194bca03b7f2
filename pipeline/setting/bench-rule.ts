import type { BenchCheck } from '../band/built-shape.ts';
import type { Lane } from '../band/lane.ts';
import type { ShapeDesign } from '../plan/design.ts';
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
export interface RuleFinding {
  passed: boolean;
  limit: Words;
  measured: Words;
  place: Words;
  /** how far within the limit, larger for better; compares the sizes of a row where there are several */
  margin?: number;
  /** where it differs from the rule's: two sources ask for different limits, and missing the lower one is worse */
  severity?: BenchCheck['severity'];
}

/** A rule of the bench: how bad it is to break it, and where its limit comes from. */
interface Rule {
  rule: BenchRuleName;
  severity: BenchCheck['severity'];
  source: string;
}

/** Measured once for the band. */
export interface BandRule extends Rule {
  measure(view: BenchView): RuleFinding[];
}

/** Measured for each row. */
export interface RowRule extends Rule {
  measureRow(row: WholeRow, view: BenchView): RuleFinding[];
}

/** Measured for each size of stone in a row; the same number of findings for every size, or none. */
export interface SetRule extends Rule {
  measureSet(set: RowPlan, view: BenchView): RuleFinding[];
}

export type BenchRule = BandRule | RowRule | SetRule;

/**
 * Cast walls of at least 0.40 mm, broad areas 0.50 mm, gaps 0.20 mm, holes above 0.20 mm and no deeper than wide, edge
 * radii 0.125 mm: morrisandwatson.com CAD design guidelines.
 */
export const CAST_SOURCE = 'morrisandwatson.com/casting/cad-design-guidelines';
/** Another caster's: all surfaces from 0.8 mm, of which filing and polishing may take up to 0.25 mm. */
export const FILE_SOURCE = 'gemwares.com, file guidelines';
/** Openings from 0.4 mm, else they fill in casting; culets 0.5 mm above the finger rail. */
export const PRODUCTION_SOURCE =
  'fdocuments.net, best practices for CAD/CAM services of a maker of mountings';

/** The config's limit, or the usual one. */
export function limitOf({ limits }: BenchView, rule: LimitedRule, usual: number): number {
  return limits?.[rule] ?? usual;
}

export function atLeast(limit: number, value: number, place: Words): RuleFinding {
  const margin = value - limit;
  const said = phrase('at-least', { limit: { mm: limit } });
  return { passed: margin >= -1e-9, limit: said, measured: { mm: value }, place, margin };
}

/**
 * A warning below `wanted`, an error below `least`: for two sources of which the stricter is advice. A limit of the
 * config takes the place of both.
 */
export function atLeastOf(
  view: BenchView,
  rule: LimitedRule,
  { wanted, least }: { wanted: number; least: number },
  value: number,
  place: Words,
): RuleFinding {
  const own = view.limits?.[rule];
  if (own !== undefined) return { ...atLeast(own, value, place), severity: 'error' };
  const found = atLeast(wanted, value, place);
  if (wanted === least) return { ...found, severity: 'error' };
  // of heights over the bore none is left at 0: a figure would say less
  const limit =
    least === 0
      ? phrase('at-least-none', { limit: { mm: wanted } })
      : phrase('at-least-error', { limit: { mm: wanted }, least: { mm: least } });
  return { ...found, limit, severity: value < least - 1e-9 ? 'error' : 'warning' };
}

export function atMost(limit: number, value: number, place: Words): RuleFinding {
  const margin = limit - value;
  const said = phrase('at-most', { limit: { mm: limit } });
  return { passed: margin >= -1e-9, limit: said, measured: { mm: value }, place, margin };
}
