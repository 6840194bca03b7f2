import { soundLanes } from '../band/build-lanes.ts';
import type { Plan, ShapeKey, Sku } from '../plan/plan.ts';
import { type Problem, ProblemError } from '../problem.ts';
import { planCuts } from '../setting/build-solids.ts';

export interface UnbuildablePair {
  sku: Sku;
  /** the one of its bands that can't be built, the left where neither can */
  band: Sku;
  problems: readonly Problem[];
}

/**
 * A plan without pairs that can't be built, and why they can't: as far as it shows once lanes, rows and marks are planned, in
 * hundredths of a second a shape. What only cutting finds is not known here. Only bands of
 * pairs are looked at: a partner's measures follow from the other band, and nobody has tried them.
 */
export async function withoutUnbuildablePairs(
  plan: Plan,
): Promise<{ plan: Plan; unbuildable: UnbuildablePair[] }> {
  const found = new Map<ShapeKey, readonly Problem[]>();
  for (const { left, right } of plan.pairs)
    for (const { shape } of [left, right])
      if (!found.has(shape)) found.set(shape, await problemsOf(plan, shape));
  const lost = (shape: ShapeKey) => (found.get(shape) ?? []).length > 0;
  const unbuildable = plan.pairs.flatMap(({ sku, left, right }) => {
    const band = [left, right].find(({ shape }) => lost(shape));
    return band ? [{ sku, band: band.sku, problems: found.get(band.shape) ?? [] }] : [];
  });
  if (unbuildable.length === 0) return { plan, unbuildable };
  const pairs = plan.pairs.filter(({ left, right }) => !lost(left.shape) && !lost(right.shape));
  const takes = plan.takes.filter((take) => take.shot.view !== 'pair' || !take.shapes.some(lost));
  return { plan: { ...plan, pairs, takes }, unbuildable };
}

async function problemsOf(plan: Plan, shape: ShapeKey): Promise<readonly Problem[]> {
  const design = plan.shapes[shape];
  try {
    await planCuts(design, soundLanes(design), undefined);
    return [];
  } catch (error) {
    if (error instanceof ProblemError) return error.problems;
    throw error;
  }
}
