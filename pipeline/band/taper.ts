import { type SeamCurve, withExtremes } from './seam-curve.ts';

/** A measure that goes over from its value at the top of the band to that at its back, with its change by θ. */
export interface Tapering {
  value: number;
  slope: number;
}

/** Share of the way from top to back, (1 − cos θ)/2, with its first two derivatives. */
export function blend(theta: number): [share: number, slope: number, bend: number] {
  return [(1 - Math.cos(theta)) / 2, Math.sin(theta) / 2, Math.cos(theta) / 2];
}

export function tapering(top: number, back: number, theta: number): Tapering {
  const [share, slope] = blend(theta);
  return { value: top + share * (back - top), slope: slope * (back - top) };
}

/** The curve that is `top` where the share is 0, `back` where it is 1, and goes in proportion between. */
export function blendedCurve(top: SeamCurve, back: SeamCurve, share: SeamCurve): SeamCurve {
  const apart = (theta: number) => back.z(theta) - top.z(theta);
  const apartSlope = (theta: number) => back.slope(theta) - top.slope(theta);
  const slope = (theta: number) =>
    top.slope(theta) + share.z(theta) * apartSlope(theta) + share.slope(theta) * apart(theta);
  const curve = {
    z: (theta: number) => top.z(theta) + share.z(theta) * apart(theta),
    slope,
    bend: (theta: number) => {
      const own = top.bend(theta) + share.z(theta) * (back.bend(theta) - top.bend(theta));
      return own + 2 * share.slope(theta) * apartSlope(theta) + share.bend(theta) * apart(theta);
    },
  };
  return withExtremes(curve, () => turningAngles(slope));
}

const SURVEY = 1440;

/** Angles at which a slope passes through zero, to 1e-12. */
export function turningAngles(slope: (theta: number) => number): number[] {
  // half a cell aside, so that the top and the back lie within cells
  const angle = (i: number) => (2 * Math.PI * (i - 0.5)) / SURVEY;
  const slopes = Array.from({ length: SURVEY + 1 }, (_, i) => slope(angle(i)));
  return slopes.slice(0, -1).flatMap((before, i) => {
    if (Math.sign(before) * Math.sign(slopes[i + 1]) >= 0) return [];
    return [rootBetween(slope, angle(i), angle(i + 1))];
  });
}

/** Where a function that changes its sign between two angles is zero. */
export function rootBetween(f: (theta: number) => number, from: number, to: number): number {
  let [low, high] = [from, to];
  const sign = Math.sign(f(low));
  for (let k = 0; k < 40; k++) {
    const middle = (low + high) / 2;
    if (Math.sign(f(middle)) === sign) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
