import { type Lane, laneMiddle } from '../band/lane.ts';
import { normalAt, radiusAt, slopeAt } from '../band/profile.ts';
import type { Frame } from './stone.ts';
import { cross, unit, type Vec } from './vec.ts';

/**
 * Where a stone stands at θ: its girdle's centre lies `setDepth` below the middle of the lane's outer surface,
 * along that surface's normal, which is the stone's axis; x runs along the row. `across` moves it off the middle.
 */
export function rowFrame(lane: Lane, setDepth: number, theta: number, across = 0): Frame {
  const { z: middle, slope } = laneMiddle(lane, theta);
  const z = middle + across;
  const r = radiusAt(lane.outer, z);
  const [nz, nr] = normalAt(lane.outer, z);
  const sin = Math.sin(theta);
  const cos = Math.cos(theta);
  const axis: Vec = [nr * sin, nr * cos, nz];
  const depthR = r - setDepth * nr;
  const rise = slope * slopeAt(lane.outer, z);
  const x = unit([r * cos + rise * sin, -r * sin + rise * cos, slope]);
  return { origin: [depthR * sin, depthR * cos, z - setDepth * nz], x, y: cross(axis, x), axis };
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
