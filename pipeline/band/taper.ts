import type { ShapeDesign } from '../plan/design.ts';
import { levelCurve, type SeamCurve } from './seam-curve.ts';

/** A measure that goes over from its value at the top of the band to that at its back, with its change by θ. */
export interface Tapering {
  value: number;
  slope: number;
}

/** Share of the way from top to back, (1 − cos θ)/2, with its first two derivatives. */
function blend(theta: number): [share: number, slope: number, bend: number] {
  return [(1 - Math.cos(theta)) / 2, Math.sin(theta) / 2, Math.cos(theta) / 2];
}

export function tapering(top: number, back: number, theta: number): Tapering {
  const [share, slope] = blend(theta);
  return { value: top + share * (back - top), slope: slope * (back - top) };
}

/** Thickness from the size's radius to the highest place of the outside, mm. */
export function thicknessAt({ thicknessMm, taper }: ShapeDesign, theta: number): Tapering {
  return tapering(thicknessMm, taper?.thicknessMm ?? thicknessMm, theta);
}

export function widthAt({ widthMm, taper }: ShapeDesign, theta: number): Tapering {
  return tapering(widthMm, taper?.widthMm ?? widthMm, theta);
}

/** An edge of the band, `inwardsMm` towards its middle. */
export function edgeCurve({ widthMm, taper }: ShapeDesign, side: 1 | -1, inwardsMm = 0): SeamCurve {
  const edge = (width: number) => levelCurve(side * (width / 2 - inwardsMm));
  return taper ? blendedCurve(edge(widthMm), edge(taper.widthMm)) : edge(widthMm);
}

/** The curve that is `top` at the top of the band, `back` at its back, and follows the taper between. */
export function blendedCurve(top: SeamCurve, back: SeamCurve): SeamCurve {
  const curve = {
    z: (theta: number) => {
      const [share] = blend(theta);
      return (1 - share) * top.z(theta) + share * back.z(theta);
    },
    slope: (theta: number) => {
      const [share, slope] = blend(theta);
      const apart = back.z(theta) - top.z(theta);
      return (1 - share) * top.slope(theta) + share * back.slope(theta) + slope * apart;
    },
    bend: (theta: number) => {
      const [share, slope, bend] = blend(theta);
      const apart = back.z(theta) - top.z(theta);
      const apartSlope = back.slope(theta) - top.slope(theta);
      const own = (1 - share) * top.bend(theta) + share * back.bend(theta);
      return own + 2 * slope * apartSlope + bend * apart;
    },
  };
  return { ...curve, extremes: turningAngles(curve.slope) };
}

const SURVEY = 1440;

/** Angles at which a slope passes through zero, to 1e-12. */
function turningAngles(slope: (theta: number) => number): number[] {
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
