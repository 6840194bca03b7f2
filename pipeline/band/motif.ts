import type { MotifDesign } from '../plan/texture-design.ts';
import { distanceInto } from './distance-into.ts';
import type { FlatPoint } from './flattened.ts';
import { type Lane, laneMiddle } from './lane.ts';
import { drawnContours } from './path-outline.ts';
import { midRadius, normalAt, radiusAt } from './profile.ts';

/** Chords of a motif's outline, mm. */
const CHORD_MM = 0.005;

/** Longest mesh edge on a lane with a motif, mm. */
export function motifStep({ heightMm }: MotifDesign): number {
  return Math.min(0.12, Math.max(0.05, heightMm / 32));
}

/** Width of a motif's flanks from its floor to its rim, mm: about 45°, and no narrower than the mesh can show. */
export function flankMm(motif: MotifDesign, depthMm: number): number {
  return Math.max(depthMm, 2.5 * motifStep(motif));
}

/** A motif's outline about its middle, mm; upright to who looks at the band with its first edge up, as letters are. */
export const motifOutline = ({ drawing, heightMm }: MotifDesign) =>
  drawnContours(drawing, heightMm, CHORD_MM);

/**
 * How deep a lane is cut at (θ, z) by a motif that stands `count` times round it, along the middle of the lane, as a share of
 * its depth. Lengths along the band are true at the lane's own radius.
 */
export function motifDepth(
  lane: Lane,
  motif: MotifDesign,
  count: number,
  depthMm: number,
): (theta: number, z: number) => number {
  const outline = motifOutline(motif);
  if ('fault' in outline) return () => 0;
  const flank = flankMm(motif, depthMm);
  const distance = distanceMap(outline.contours, motifStep(motif) / 2, flank);
  const pitch = (2 * Math.PI * midRadius(lane.outer)) / count;
  return (theta, z) => {
    const turn = (theta * count) / (2 * Math.PI) + 0.5;
    const s = (turn - Math.floor(turn) - 0.5) * pitch;
    const x = Math.min(1, Math.max(0, 0.5 + distance(s, laneMiddle(lane, theta).z - z) / flank));
    const share = x * x * (3 - 2 * x);
    return motif.raised ? 1 - share : share;
  };
}

/** Distance into contours (negative outside them) from a grid, with straight lines between its places; far off −reach. */
function distanceMap(contours: readonly FlatPoint[][], step: number, reach: number) {
  const points = contours.flat();
  const most = (k: 0 | 1) => points.reduce((far, p) => Math.max(far, Math.abs(p[k])), 0) + reach + step;
  const [columns, rows] = [0, 1].map((k) => Math.ceil(most(k as 0 | 1) / step));
  const width = 2 * columns + 1;
  const grid = new Float64Array(width * (2 * rows + 1));
  for (let j = -rows; j <= rows; j++)
    for (let i = -columns; i <= columns; i++)
      grid[(j + rows) * width + i + columns] = distanceInto(contours, i * step, j * step);
  return (s: number, t: number): number => {
    const [u, v] = [s / step + columns, t / step + rows];
    const [i, j] = [Math.floor(u), Math.floor(v)];
    if (i < 0 || j < 0 || i >= width - 1 || j >= 2 * rows) return -reach;
    const at = j * width + i;
    const [a, b] = [u - i, v - j];
    const low = grid[at] * (1 - a) + grid[at + 1] * a;
    return low * (1 - b) + (grid[at + width] * (1 - a) + grid[at + width + 1] * a) * b;
  };
}

/**
 * By how much what is drawn about a lane's middle comes out longer at most, along the band (less than 0: shorter) and across
 * it; shares.
 * @param drawn by which it is longer along the band already
 */
export function reliefStretch(lane: Lane, heightMm: number, drawn = 0): { along: number; across: number } {
  const profile = lane.outer(0);
  const middle = laneMiddle(lane, 0).z;
  const places = Array.from({ length: 41 }, (_, i) => middle + heightMm * (i / 40 - 0.5));
  const along = places.map((z) => ((1 + drawn) * radiusAt(profile, z)) / midRadius(lane.outer) - 1);
  const across = places.map((z) => 1 / normalAt(profile, z)[1] - 1);
  return {
    along: along.reduce((a, b) => (Math.abs(b) > Math.abs(a) ? b : a)),
    across: across.reduce((a, b) => Math.max(a, b)),
  };
}
