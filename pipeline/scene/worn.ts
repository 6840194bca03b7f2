/**
 * Two or three bands as they are worn: standing on one axis, tops up, pushed together along the finger until they touch.
 * Promise: of what stands there nothing is sunk into anything, and they come as near as the solids let them, to within
 * `HAIR` and what a cell of the look along the finger hides.
 */
import { Matrix4, Vector3 } from 'three';
import type { BuiltShape, TriMesh } from '../band/built-shape.ts';
import { type PlacedBand, placeBand, placement } from './pose.ts';

/** Room left where they touch, mm: as far as anyone can see they do. */
const HAIR = 0.01;
/** Side of a cell of the look along the finger, mm. */
const CELL = 0.05;
const YAW = (48 * Math.PI) / 180;

/** The far edge of each lies against the first edge of the next. */
export function wearPair(shapes: readonly BuiltShape[]): PlacedBand[] {
  const bands = shapes.map((shape) => placeBand(shape, { rest: 'standing', yaw: YAW, roll: 0, x: 0, z: 0 }));
  const along = new Vector3().setFromMatrixColumn(bands[0].toWorld, 2);
  const at: number[] = [0];
  for (const [i, band] of bands.entries()) {
    // where the middle one is narrow or parted a third may meet the first
    const before = bands.slice(0, i);
    if (i > 0) at.push(Math.max(...before.map((other, k) => at[k] + touchingDistance(other, band) + HAIR)));
  }
  const middle = at[at.length - 1] / 2;
  return bands.map(({ shape, toWorld }, i) => ({
    shape,
    toWorld: new Matrix4().makeTranslation(along.clone().multiplyScalar(at[i] - middle)).multiply(toWorld),
  }));
}

/** How far the second of two bands on one axis must be moved along it from where both stand, so that it only touches; mm. */
export function touchingDistance(first: PlacedBand, other: PlacedBand): number {
  const toFirst = first.toWorld.clone().invert();
  const high = heights(first, toFirst, 1);
  const low = heights(other, toFirst, -1);
  let most = Number.NEGATIVE_INFINITY;
  for (const [cell, top] of high) {
    const bottom = low.get(cell);
    if (bottom !== undefined) most = Math.max(most, top + bottom);
  }
  return Number.isFinite(most) ? most : 0;
}

/** Of each cell across the finger the farthest that a band reaches along it, towards one side; by the first band's axes. */
function heights({ shape, toWorld }: PlacedBand, toFirst: Matrix4, side: 1 | -1): Map<number, number> {
  const found = new Map<number, number>();
  const raise = (i: number, k: number, z: number) => {
    const cell = i * 65536 + k;
    const before = found.get(cell);
    if (before === undefined || z > before) found.set(cell, z);
  };
  const add = (mesh: TriMesh, own: Matrix4) => {
    const points = placedPoints(mesh, own, side);
    for (let t = 0; t < mesh.indices.length; t += 3)
      coverCells([0, 1, 2].map((c) => points[mesh.indices[t + c]]) as Corners, raise);
  };
  const m = toFirst.clone().multiply(toWorld);
  for (const { mesh } of shape.lanes) add(mesh, m);
  for (const { stone, placements, count } of shape.rows)
    for (let k = 0; k < count; k++) add(stone.mesh, m.clone().multiply(placement(placements, k)));
  return found;
}

/** Cells count from here, so that none has a negative number. */
const ORIGIN = 32768;

type Point = readonly [x: number, y: number, z: number];
type Corners = [Point, Point, Point];

/** Vertices in cells across the finger and mm along it, towards `side`. */
function placedPoints({ positions }: TriMesh, m: Matrix4, side: 1 | -1): Point[] {
  const p = new Vector3();
  return Array.from({ length: positions.length / 3 }, (_, i): Point => {
    p.fromArray(positions, 3 * i).applyMatrix4(m);
    return [p.x / CELL + ORIGIN, p.y / CELL + ORIGIN, side * p.z];
  });
}

/** The highest place of a triangle over each cell that it reaches: its corners', or its plane's over the cell's middle. */
function coverCells([a, b, c]: Corners, raise: (i: number, k: number, z: number) => void): void {
  for (const [x, y, z] of [a, b, c]) raise(Math.floor(x), Math.floor(y), z);
  const area = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]);
  if (Math.abs(area) < 1e-9) return;
  const range = (k: 0 | 1) => [
    Math.ceil(Math.min(a[k], b[k], c[k]) - 0.5),
    Math.floor(Math.max(a[k], b[k], c[k]) - 0.5),
  ];
  const [[left, right], [low, high]] = [range(0), range(1)];
  for (let i = left; i <= right; i++)
    for (let k = low; k <= high; k++) {
      const [x, y] = [i + 0.5, k + 0.5];
      const u = ((x - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (y - a[1])) / area;
      const v = ((b[0] - a[0]) * (y - a[1]) - (x - a[0]) * (b[1] - a[1])) / area;
      if (u >= 0 && v >= 0 && u + v <= 1) raise(i, k, a[2] + u * (b[2] - a[2]) + v * (c[2] - a[2]));
    }
}
