import type { Lane, LaneBound } from './lane.ts';
import { outerEnd, shoulderProfile } from './lane-section.ts';
import { normalAt, type Profile, radiusAt, tangentCircle } from './profile.ts';

/** A point of a lane's outside: its radius and the section's unit normal there, which points out of the metal. */
export interface OutsidePoint {
  r: number;
  nz: number;
  nr: number;
}

/** A lane's outside at (θ, z), softened edges and shoulders included, hammer marks left out. */
export function outsideAt(lane: Lane, theta: number, z: number): OutsidePoint {
  const outer = lane.outer(theta);
  for (const bound of [lane.low, lane.high]) {
    const { side, outerSoften: s, shoulder } = bound;
    const end = bound.curve.z(theta);
    if (shoulder && side * (z - end) > 0) return pointOf(shoulderProfile(bound, shoulder, outer, theta), z);
    if (s === 0 || side * (z - outerEnd(outer, bound, theta)) <= 0) continue;
    const centreZ = end - side * s;
    const across = Math.max(-s, Math.min(s, z - centreZ));
    const up = Math.sqrt(s * s - across * across);
    return { r: tangentCircle(outer, centreZ, s).centreR + up, nz: across / s, nr: up / s };
  }
  return pointOf(outer, z);
}

function pointOf(profile: Profile, z: number): OutsidePoint {
  const [nz, nr] = normalAt(profile, z);
  return { r: radiusAt(profile, z), nz, nr };
}

/** A closed curve on a lane's outside, measured by arc length. */
export interface OutsideLine {
  lengthMm: number;
  /** the place `s` mm from the start at the top, 0 ≤ s ≤ length */
  at(s: number): { theta: number; z: number };
}

/** Points of the surveyed line; 15 µm apart on a band of 60 mm. */
const SURVEY = 4096;

/**
 * The line that keeps `insetMm` from a lane's bound, measured square to the bound on the outside unrolled at its
 * radius there. Undefined where the bound turns more tightly than that, so that the line would run back on itself.
 */
export function besideBound(lane: Lane, bound: LaneBound, insetMm: number): OutsideLine | undefined {
  const theta = new Float64Array(SURVEY + 1);
  const z = new Float64Array(SURVEY + 1);
  const total = new Float64Array(SURVEY + 1);
  const first = offsetPoint(lane, bound, insetMm, 0);
  // the line starts at the bound's top, whatever the offset has turned it by
  theta[0] = first.theta;
  z[0] = first.z;
  for (let i = 1; i <= SURVEY; i++) {
    const next = offsetPoint(lane, bound, insetMm, (2 * Math.PI * i) / SURVEY);
    if (next.theta <= theta[i - 1]) return undefined;
    theta[i] = next.theta;
    z[i] = next.z;
    const a = bandPoint(lane, theta[i - 1], z[i - 1]);
    const b = bandPoint(lane, theta[i], z[i]);
    total[i] = total[i - 1] + Math.hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2]);
  }
  return {
    lengthMm: total[SURVEY],
    at: (s) => {
      let low = 0;
      let high = SURVEY;
      while (high - low > 1) {
        const middle = (low + high) >> 1;
        if (total[middle] <= s) low = middle;
        else high = middle;
      }
      const share = (s - total[low]) / (total[high] - total[low]);
      return {
        theta: theta[low] + share * (theta[high] - theta[low]),
        z: z[low] + share * (z[high] - z[low]),
      };
    },
  };
}

function offsetPoint(
  lane: Lane,
  { side, curve }: LaneBound,
  inset: number,
  theta: number,
): { theta: number; z: number } {
  const z = curve.z(theta);
  const r = radiusAt(lane.outer(theta), z);
  const slope = curve.slope(theta);
  const size = Math.hypot(r, slope);
  return { theta: theta + (side * inset * slope) / size / r, z: z - (side * inset * r) / size };
}

/** Band coordinates of a point of a lane's outside. */
function bandPoint(lane: Lane, theta: number, z: number): [number, number, number] {
  const { r } = outsideAt(lane, theta, z);
  return [r * Math.sin(theta), r * Math.cos(theta), z];
}
