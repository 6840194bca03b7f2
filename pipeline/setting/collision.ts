import { degrees, mm, problem } from '../band/problem-words.ts';
import type { Problem } from '../problem.ts';
import { clawReach } from './claw-form.ts';
import { thetaOf } from './clearance.ts';
import { outsideGirdle } from './girdle.ts';
import type { WholeRow } from './row-plan.ts';
import { leastSeparation } from './separation.ts';
import { toStone } from './stone.ts';

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
export function closestPair(rows: WholeRow[]): ClosestPair | undefined {
  const stones = rows.flatMap(({ index, members }) =>
    members.map(({ set, place: { frame, theta } }) => ({ index, stone: set.stone, frame, theta })),
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

/** Air between a claw and another row's stone, mm: its seat is cut within this. */
const CLAW_AIR_MM = 0.05;

/** Claws are trimmed for their own row's stones only, so they must stand clear of every other row's. */
function clawProblems(rows: WholeRow[]): Problem[] {
  return rows.flatMap((row) => {
    const others = rows.filter(({ index }) => index !== row.index);
    const pins = [...row.claws, ...(row.grain?.grains ?? [])];
    const struck = pins.find((pin) =>
      others.some(({ members }) =>
        members.some(({ set: { stone }, place }) => {
          const [x, y, z] = toStone(place.frame, pin.frame.origin);
          const near = Math.abs(z) < stone.solid.depthMm + 2 * pin.radius;
          return near && outsideGirdle(stone.girdle, x, y) < clawReach(pin) + CLAW_AIR_MM;
        }),
      ),
    );
    if (!struck) return [];
    const received = `one in the stone beside it at θ = ${degrees(thetaOf(struck.frame.origin))}`;
    const advice = 'Move the rows apart, or set them in channels or flush.';
    return [
      problem(
        'claw-in-stone',
        `rows[${row.index}]`,
        'claws and grains clear of other rows',
        received,
        advice,
      ),
    ];
  });
}

export function findCollisions(rows: WholeRow[]): Problem[] {
  const closest = closestPair(rows);
  if (!closest || closest.gap >= Math.min(...rows.map(({ design }) => design.leastGapMm)) - 1e-6) {
    return clawProblems(rows);
  }
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
