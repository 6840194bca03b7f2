import { degrees, mm } from '../band/design-problems.ts';
import type { Problem } from '../problem.ts';
import { problem, type RowPlan } from './row-plan.ts';
import { leastSeparation } from './separation.ts';

/** The two stones of a shape that come closest. */
export interface ClosestPair {
  /** a lower bound of the true distance, mm */
  gap: number;
  /** θ of either stone */
  theta: number;
  other: number;
  row: number;
}

/**
 * Closest of all pairs of stones, not only of neighbours along a row: waves may bring others together.
 */
export function closestPair(rows: RowPlan[]): ClosestPair | undefined {
  const stones = rows.flatMap(({ index, stone, places }) =>
    places.map(({ frame, theta }) => ({ index, stone, frame, theta })),
  );
  let closest: ClosestPair | undefined;
  for (let i = 0; i < stones.length; i++) {
    for (let k = i + 1; k < stones.length; k++) {
      const a = stones[i];
      const b = stones[k];
      const gap = leastSeparation(a.stone, a.frame, b.stone, b.frame);
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
