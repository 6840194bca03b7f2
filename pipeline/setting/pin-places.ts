/** Where claws and grains stand between the stones that they hold. */
import { leastBetween } from '../band/least.ts';
import { girdleReach, outsideGirdle } from './girdle.ts';
import { reachAlong } from './spread.ts';
import { type Frame, type Stone, toBand, toStone, turnToBand } from './stone.ts';
import { add, along, cross, distance, dot, scale, sub, unit, type Vec } from './vec.ts';

/** How far a claw leans over each girdle, as a share of its diameter: a shared claw is notched at most 25 % a side. */
export const BITE_SHARE = 0.2;

/** A stone in its place. */
export interface PlacedStone {
  frame: Frame;
  stone: Stone;
}

/**
 * Frames of the two claws between neighbouring stones, on either side of the row, each overlapping both girdles
 * by `bite`, their y towards the row's middle. Undefined when the gap is too wide to reach both.
 */
export function clawFrames(
  a: PlacedStone,
  b: PlacedStone,
  clawRadius: number,
  bite: number,
  leanRad = 0,
): Frame[] | undefined {
  const [at, to] = [a.frame, b.frame];
  const chordMiddle = scale(add(at.origin, to.origin), 0.5);
  const axis = unit(add(at.axis, to.axis));
  // on a round band the two girdle planes meet above the chord
  const above = along(chordMiddle, axis, dot(sub(at.origin, chordMiddle), at.axis) / dot(axis, at.axis));
  const chord = sub(to.origin, at.origin);
  const x = unit(along(chord, axis, -dot(chord, axis)));
  const y = cross(axis, x);
  const reach = clawRadius - bite;
  const half = distance(at.origin, to.origin) / 2;
  const radii = [a, b].map(({ stone: { girdle } }) => (girdle.kind === 'round' ? girdle.radius + reach : 0));
  const round = radii[0] > 0 && radii[1] > 0;
  // towards the smaller stone: where two circles meet, or the middle of the gap
  const shift = round
    ? (radii[0] ** 2 - radii[1] ** 2) / (4 * half)
    : (reachAlong(a.stone) - reachAlong(b.stone)) / 4;
  const middle = along(above, x, shift);
  const aside = round ? roundAside(half + shift, radii[0]) : outlineAside([a, b], middle, y, reach);
  return aside?.map((offset, i) => {
    const inward = i === 0 ? -1 : 1;
    const frame = { origin: along(middle, y, offset), x: scale(x, inward), y: scale(y, inward), axis };
    return leaning(frame, leanRad);
  });
}

/** A frame at (x, y) of a stone's whose own y looks to its middle. */
export function facingIn(frame: Frame, [x, y]: [number, number]): Frame {
  const size = Math.hypot(x, y);
  const inward = turnToBand(frame, [-x / size, -y / size, 0]);
  return { origin: toBand(frame, [x, y, 0]), x: cross(inward, frame.axis), y: inward, axis: frame.axis };
}

/** The frame turned about x so that what stands above it leans the way of its y. */
export function leaning(frame: Frame, leanRad: number): Frame {
  if (leanRad === 0) return frame;
  const { axis, y } = frame;
  const leant = add(scale(axis, Math.cos(leanRad)), scale(y, Math.sin(leanRad)));
  return { ...frame, axis: leant, y: cross(leant, frame.x) };
}

function roundAside(half: number, reach: number): number[] | undefined {
  if (Math.abs(half) >= reach) return undefined;
  const aside = Math.sqrt(reach * reach - half * half);
  return [aside, -aside];
}

/**
 * How far from the row's line the two claws stand so that either is `reach` away from the nearer of its two girdles'
 * outlines. The distance to a convex outline along a line has one minimum, so each side has one such place.
 */
function outlineAside(
  stones: [PlacedStone, PlacedStone],
  middle: Vec,
  y: Vec,
  reach: number,
): number[] | undefined {
  const excess = (aside: number) =>
    Math.max(
      ...stones.map(({ frame, stone }) => {
        const [px, py] = toStone(frame, along(middle, y, aside));
        return outsideGirdle(stone.girdle, px, py) - reach;
      }),
    );
  const most = Math.max(...stones.map(({ stone }) => girdleReach(stone.girdle))) + 2 * reach;
  // stones with a narrow end are nearest beside the middle
  const between = excess(0) < 0 ? 0 : leastBetween(excess, -most, most).at;
  if (excess(between) >= 0) return undefined;
  return [1, -1].map((side) => {
    let near = 0;
    let far = most + Math.abs(between);
    for (let i = 0; i < 60; i++) {
      const half = (near + far) / 2;
      if (excess(between + side * half) < 0) near = half;
      else far = half;
    }
    return between + side * near;
  });
}

/**
 * A pin between two stones of a line that would stand too far in one of the line beside it: as far from all three, at the
 * centre of the circle through theirs. Undefined where no third stone is so near.
 */
export function amongThree(
  frame: Frame,
  pair: readonly PlacedStone[],
  radius: number,
  stones: readonly PlacedStone[],
): Frame | undefined {
  const reach = radius * (1 - 2 * BITE_SHARE);
  const third = stones.find(({ frame: { origin }, stone: { girdle } }) => {
    if (girdle.kind !== 'round' || pair.some((own) => distance(own.frame.origin, origin) < 1e-6))
      return false;
    return distance(origin, frame.origin) < girdle.radius + reach;
  });
  if (!third) return undefined;
  const [a, b, c] = [...pair, third].map(({ frame: { origin } }) => toStone(frame, origin));
  const [bx, by, cx, cy] = [b[0] - a[0], b[1] - a[1], c[0] - a[0], c[1] - a[1]];
  const twice = 2 * (bx * cy - by * cx);
  const [bb, cc] = [bx * bx + by * by, cx * cx + cy * cy];
  const x = a[0] + (cy * bb - by * cc) / twice;
  const y = a[1] + (bx * cc - cx * bb) / twice;
  return { ...frame, origin: toBand(frame, [x, y, 0]) };
}
