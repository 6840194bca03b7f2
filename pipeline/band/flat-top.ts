import type { FlatDesign } from '../plan/width-design.ts';
import { type SeamCurve, withExtremes } from './seam-curve.ts';
import { rootBetween } from './taper.ts';

/**
 * A flat on top, seen along the finger: a level line at the height of the flat, an arc that rounds its end, and a straight
 * shoulder down to where it touches the outside that the band has without it. Lengths mm, y up through the top.
 */
export interface FlatTop {
  /** of the flat over the finger's axis */
  heightMm: number;
  /** where the flat's line and the shoulder's would meet */
  corner: [x: number, y: number];
  /** direction and distance of the shoulder's line: nx x + ny y = d */
  shoulder: { nx: number; ny: number; d: number };
  /** of the arc that rounds the corner */
  centre: [x: number, y: number];
  radiusMm: number;
  /** how much of the flat, and of the shoulder, the arc takes */
  reachMm: number;
  /** length of the shoulder's line from the corner to where it touches the outside */
  shoulderMm: number;
  /** θ at which the flat ends, the shoulder begins and the outside goes on */
  flatTo: number;
  shoulderFrom: number;
  shoulderTo: number;
}

/** What a flat is set on: radius of the outside by θ, with its change. */
type Outside = (theta: number) => { value: number; slope: number };

/** Farthest from the top that a shoulder may touch the outside, rad. */
const FARTHEST = (150 * Math.PI) / 180;
const SURVEY = 600;

/** Half the length that a flat at this height takes where the outside passes through it; below it the corner lies within metal. */
export function leastHalf(outsideMm: number, heightMm: number): number {
  return heightMm >= outsideMm ? 0 : Math.sqrt(outsideMm * outsideMm - heightMm * heightMm);
}

/** Undefined where no shoulder from the flat's end touches the outside. */
export function flatTop(flat: FlatDesign, outside: Outside): FlatTop | undefined {
  const heightMm = outside(0).value + flat.riseMm;
  const corner: [number, number] = [flat.lengthMm / 2, heightMm];
  const shoulderTo = touchingAngle(corner, outside);
  if (shoulderTo === undefined) return undefined;
  const { value } = outside(shoulderTo);
  const foot = [value * Math.sin(shoulderTo), value * Math.cos(shoulderTo)];
  const shoulderMm = Math.hypot(foot[0] - corner[0], foot[1] - corner[1]);
  const [dx, dy] = [(foot[0] - corner[0]) / shoulderMm, (foot[1] - corner[1]) / shoulderMm];
  const turn = Math.atan2(-dy, dx);
  const reachMm = flat.edgeMm * Math.tan(turn / 2);
  const centre: [number, number] = [corner[0] - reachMm, heightMm - flat.edgeMm];
  return {
    heightMm,
    corner,
    shoulder: { nx: -dy, ny: dx, d: -dy * corner[0] + dx * corner[1] },
    centre,
    radiusMm: flat.edgeMm,
    reachMm,
    shoulderMm,
    flatTo: Math.atan2(corner[0] - reachMm, heightMm),
    shoulderFrom: Math.atan2(corner[0] + reachMm * dx, corner[1] + reachMm * dy),
    shoulderTo,
  };
}

/** θ of the place where a line from the corner touches the outside. */
function touchingAngle([x, y]: [number, number], outside: Outside): number | undefined {
  // the cross product of the way from the corner and the outside's own direction
  const cross = (theta: number) => {
    const { value, slope } = outside(theta);
    const [sin, cos] = [Math.sin(theta), Math.cos(theta)];
    const tangent = [slope * sin + value * cos, slope * cos - value * sin];
    return (value * sin - x) * tangent[1] - (value * cos - y) * tangent[0];
  };
  const from = Math.atan2(x, y);
  if (!(Math.hypot(x, y) > outside(from).value)) return undefined;
  const step = (FARTHEST - from) / SURVEY;
  for (let i = 0; i < SURVEY; i++) {
    const [a, b] = [from + i * step, from + (i + 1) * step];
    if (Math.sign(cross(a)) !== Math.sign(cross(b))) return rootBetween(cross, a, b);
  }
  return undefined;
}

/** Radius of a band's outside with the flat on it, and its change by θ. */
export function withFlat(top: FlatTop, outside: Outside): Outside {
  return (theta) => {
    const turned = theta - 2 * Math.PI * Math.round(theta / (2 * Math.PI));
    const side = turned < 0 ? -1 : 1;
    const at = Math.abs(turned);
    if (at >= top.shoulderTo) return outside(theta);
    const { value, slope } = radiusOn(top, at);
    return { value, slope: side * slope };
  };
}

/** Where the ray at θ ≥ 0 meets the flat, the arc or the shoulder. */
function radiusOn(
  { heightMm, shoulder, centre, radiusMm, flatTo, shoulderFrom }: FlatTop,
  theta: number,
): { value: number; slope: number } {
  const [sin, cos] = [Math.sin(theta), Math.cos(theta)];
  const line = (nx: number, ny: number, d: number) => {
    const along = nx * sin + ny * cos;
    return { value: d / along, slope: (-d * (nx * cos - ny * sin)) / (along * along) };
  };
  if (theta <= flatTo) return line(0, 1, heightMm);
  if (theta >= shoulderFrom) return line(shoulder.nx, shoulder.ny, shoulder.d);
  const along = centre[0] * sin + centre[1] * cos;
  const aside = centre[0] * cos - centre[1] * sin;
  const root = Math.sqrt(radiusMm * radiusMm - aside * aside);
  return { value: along + root, slope: aside + (aside * along) / root };
}

/** Step of the differences that tell how a slope changes, rad: only the density of sections hangs on it. */
const STEP = 1e-4;

/** A thickness as a curve whose extremes are the flat's middle, the highest places of its ends, and where it ends. */
export function flatCurve(top: FlatTop, radius: Outside, boreMm: number): SeamCurve {
  const slope = (theta: number) => radius(theta).slope;
  const curve = {
    z: (theta: number) => radius(theta).value - boreMm,
    slope,
    bend: (theta: number) => (slope(theta + STEP) - slope(theta - STEP)) / (2 * STEP),
  };
  const highest = Math.atan2(top.centre[0], top.centre[1]);
  return withExtremes(curve, () => [0, highest, Math.PI, 2 * Math.PI - highest]);
}

/** Angles at which the outside goes from one of its parts over to the next, on both sides of the top. */
export function flatJoints({ flatTo, shoulderFrom, shoulderTo }: FlatTop): number[] {
  return [flatTo, shoulderFrom, shoulderTo].flatMap((theta) => [theta, -theta]);
}

/** The flat grown by an allowance that is polished off: every line moves out by it, so that the corner moves along the flat. */
export function grownFlat(flat: FlatDesign, { reachMm, radiusMm }: FlatTop, by: number): FlatDesign {
  return { ...flat, lengthMm: flat.lengthMm + (2 * by * reachMm) / radiusMm, edgeMm: flat.edgeMm + by };
}
