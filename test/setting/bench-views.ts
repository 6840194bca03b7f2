import { lanesOf } from '../../pipeline/band/lane.ts';
import type { RowDesign, SectionDesign, ShapeDesign } from '../../pipeline/plan/design.ts';
import { isRefused, ProblemError } from '../../pipeline/problem.ts';
import type { BenchView } from '../../pipeline/setting/bench-rule.ts';
import { BENCH_RULES, benchChecks } from '../../pipeline/setting/bench-rules.ts';
import { planRow, type WholeRow } from '../../pipeline/setting/row-plan.ts';
import type { BenchRuleName } from '../../pipeline/trade/bench-limits.ts';
import { rowDesign, straightRowDesign } from './stone-designs.ts';

export const viewOf = (design: ShapeDesign, change: Partial<BenchView> = {}): BenchView => ({
  design,
  lanes: lanesOf(design),
  rows: [],
  ...change,
});
export const checksOf = (rule: BenchRuleName, view: BenchView) =>
  benchChecks(
    view,
    BENCH_RULES.filter((r) => r.rule === rule),
  );
export const section = (change: Partial<SectionDesign> = {}) => ({
  section: {
    name: 'flat' as const,
    domeMm: 0,
    comfortMm: 0,
    edgeMm: 0.2,
    boreEdgeMm: 0.2,
    ...change,
  },
});

/** A planned row with measures of one's own: what rules read of it. */
export function rowWith(
  set: Record<string, unknown>,
  whole: Record<string, unknown> = {},
  design: Parameters<typeof rowDesign>[0] = {},
): Partial<BenchView> {
  const row = rowDesign(design);
  const stone = { tableHeight: 0.25, planes: [], girdle: { kind: 'round', radius: row.diameterMm / 2 } };
  const fake = {
    index: 0,
    name: 'row',
    design: row,
    stone,
    places: [{ theta: 0, wall: 9, rim: 9, culetAbove: 9, bore: -1, highBore: -1, surface: 0.1 }],
    seat: { bearingFoot: -0.4, bearingTop: -0.05, opening: { kind: 'round', radius: 0.77 } },
    ...set,
  };
  const claws: unknown[] = [];
  const all = { index: 0, design: row, claws, members: [], places: { closed: false }, ...whole };
  return { rows: [{ ...all, sets: [{ ...fake, whole: all }] } as unknown as WholeRow] };
}
export const place = (change: Record<string, number>) => ({
  places: [{ theta: 0, wall: 9, rim: 9, culetAbove: 9, bore: -1, highBore: -1, surface: 0.1, ...change }],
});
export const hole = (width: number) => ({ kind: 'round', radius: width / 2 });
export const seat = (change: Record<string, unknown>) => ({
  seat: { bearingFoot: -0.4, bearingTop: -0.05, opening: hole(1.54), ...change },
});
export const pin = (x: number, radius: number, tip = 0.19, foot = -0.5) => ({
  frame: { origin: [x, 9, 0], x: [1, 0, 0], y: [0, 0, -1], axis: [0, 1, 0] },
  radius,
  root: 0,
  tip,
  foot,
  bend: 0,
  style: 'round',
});

/** A straight row as it is really planned, and the view of its band. */
export function planned(change: Partial<RowDesign> = {}, design: Partial<ShapeDesign> = {}) {
  const whole = straightRowDesign(change, design);
  const lanes = lanesOf(whole);
  const row = planRow(whole.rows[0], 0, lanes);
  if (isRefused(row)) throw new ProblemError(row.problems);
  return { row, view: viewOf(whole, { lanes, rows: [row] }) };
}
