import { degrees, mm } from '../band/design-problems.ts';
import type { Problem } from '../problem.ts';
import { problem, type RowPlan } from './row-plan.ts';
import { distance, type Vec } from './vec.ts';

/** The two stones of a shape that come closest, each within its sphere about the girdle's centre. */
export interface ClosestPair {
  /** mm between the spheres, which contain the stones: a lower bound of the true distance */
  gap: number;
  /** θ of either stone */
  theta: number;
  other: number;
  row: number;
}

/**
 * Closest of all pairs of stones, not only of neighbours along a row: waves may bring others together.
 * A brilliant lies within a sphere of its own diameter about the girdle's centre (to 0.05 % of it), so centre
 * distance less the two radii is safe.
 */
export function closestPair(rows: RowPlan[]): ClosestPair | undefined {
  const stones = rows.flatMap(({ index, stone, places }) =>
    places.map(({ frame, theta }) => ({ index, radius: stone.radius, origin: frame.origin as Vec, theta })),
  );
  let closest: ClosestPair | undefined;
  for (let i = 0; i < stones.length; i++) {
    for (let k = i + 1; k < stones.length; k++) {
      const a = stones[i];
      const b = stones[k];
      const gap = distance(a.origin, b.origin) - a.radius - b.radius;
      if (!closest || gap < closest.gap) closest = { gap, theta: a.theta, other: b.theta, row: a.index };
    }
  }
  return closest;
}

export function findCollisions(rows: RowPlan[]): Problem[] {
  const closest = closestPair(rows);
  if (!closest || closest.gap >= Math.min(...rows.map(({ design }) => design.leastGapMm)) - 1e-6) return [];
  return [
    problem(
      'stones-collide',
      `rows[${closest.row}]`,
      'the least gap between every two stones',
      `${mm(closest.gap)} between those at θ = ${degrees(closest.theta)} and ${degrees(closest.other)}`,
      'Lower the wave, use fewer waves or smaller stones.',
    ),
  ];
}
