import { type Lane, laneMiddle } from '../band/lane.ts';
import { driftAt, normalAt, radiusAt, slopeAt } from '../band/profile.ts';
import { faceFrame } from './face.ts';
import type { Frame } from './stone.ts';
import { along, cross, unit, type Vec } from './vec.ts';

/**
 * Where a stone stands at θ: its girdle's centre lies `setDepth` below the middle of the lane's outer surface,
 * along that surface's normal, which is the stone's axis; x runs along the row. `across` moves it off the middle. The normal
 * of a bore, and so the axis there, looks at the finger.
 */
export function rowFrame(lane: Lane, setDepth: number, theta: number, across = 0): Frame {
  if (lane.face) return faceFrame(lane, setDepth, theta, (lane.offsetMm ?? 0) + across);
  const { z: middle, slope } = laneMiddle(lane, theta);
  const z = middle + across;
  const outer = lane.outer(theta);
  const r = radiusAt(outer, z);
  const drift = driftAt(outer, z);
  const [inZ, inR] = normalAt(outer, z);
  // the surface rises by `drift` to the radian where z stays: its normal leans back from that
  const lean = -(inR * drift) / r;
  const size = Math.hypot(1, lean);
  const [nz, nr, nt] = [inZ / size, inR / size, lean / size];
  const sin = Math.sin(theta);
  const cos = Math.cos(theta);
  const axis: Vec = [nr * sin + nt * cos, nr * cos - nt * sin, nz];
  const rise = drift + slope * slopeAt(outer, z);
  const x = unit([r * cos + rise * sin, -r * sin + rise * cos, slope]);
  const surface: Vec = [r * sin, r * cos, z];
  return { origin: along(surface, axis, -setDepth), x, y: cross(axis, x), axis };
}

/** A closed curve round the band, by θ. */
export type RingCurve = (theta: number) => Vec;

export function rowCurve(lane: Lane, setDepth: number, across = 0): RingCurve {
  return (theta) => rowFrame(lane, setDepth, theta, across).origin;
}

/** Indices of neighbours among `count` places in order; on a closed row the last is the first one's neighbour. */
export function neighbourPairs(count: number, closed: boolean): [number, number][] {
  const pairs = Array.from({ length: Math.max(0, count - 1) }, (_, i): [number, number] => [i, i + 1]);
  return closed && count > 2 ? [...pairs, [count - 1, 0]] : pairs;
}
