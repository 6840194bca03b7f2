import { type Lane, surveyAngles } from './lane.ts';
import { radiusAt } from './profile.ts';

/** Parts in which the far side is looked over for its nearest point. */
const PARTS = 24;

/**
 * Where a lane is narrowest as a goldsmith would measure it: the least distance, on the band's outside unrolled,
 * between a point of one side and the other side. Along the finger a slanting lane is wider than that.
 */
export function laneNeck(lane: Lane): { theta: number; width: number } {
  const [low, high] = [lane.low.curve, lane.high.curve];
  // sides that keep their z are nearest straight across
  const slanting = low.extremes.length > 0 && high.extremes.length > 0;
  let worst = { theta: 0, width: Number.POSITIVE_INFINITY };
  for (const theta of surveyAngles(lane)) {
    const from = low.z(theta);
    const straight = high.z(theta) - from;
    const width = slanting ? nearest(lane, theta, from, straight) : straight;
    if (width < worst.width) worst = { theta, width };
  }
  return worst;
}

/** Distance from (θ, from) to the high side; its nearest point lies no further round than it is across. */
function nearest({ outer, high }: Lane, theta: number, from: number, straight: number): number {
  const r = radiusAt(outer(theta), from);
  const reach = Math.abs(straight) / r;
  const distance = (turn: number) => {
    const across = high.curve.z(theta + turn) - from;
    return Math.sqrt(r * r * turn * turn + across * across);
  };
  let best = 0;
  let least = Number.POSITIVE_INFINITY;
  const look = (turn: number) => {
    const found = distance(turn);
    if (!(found < least)) return;
    best = turn;
    least = found;
  };
  look(0);
  for (let i = -PARTS; i <= PARTS; i++) look((reach * i) / PARTS);
  for (let step = reach / PARTS / 2; step * r > 1e-5; step /= 2) {
    const middle = best;
    look(middle - step);
    look(middle + step);
  }
  return least;
}
