import { Matrix4, Quaternion, Vector3 } from 'three';
import type { BuiltShape } from '../band/built-shape.ts';

/** How a band rests on the ground. Angles in radians. */
export interface Pose {
  /** `standing`: finger axis level; `lying`: finger axis upright, the top of the band towards the camera */
  rest: 'standing' | 'lying';
  /** a lying band upside down, on its second edge; its top stays towards the camera */
  over?: boolean;
  /** turn about the vertical; 0 faces the camera through the finger hole (standing) or shows θ = 0 (lying) */
  yaw: number;
  /** turn about the finger axis, which brings another θ to the top */
  roll: number;
  /** shift along the ground, mm */
  x: number;
  z: number;
}

/** A band in the world: rigid transform from band to world coordinates, resting exactly on y = 0. */
export interface PlacedBand {
  shape: BuiltShape;
  toWorld: Matrix4;
}

/** World from band, without the lift that puts the band on the ground. @param lean turns the band about its own middle first */
function orientation(pose: Pose, lean: Matrix4 | undefined): Matrix4 {
  const m = new Matrix4().makeRotationY(pose.yaw);
  if (pose.rest === 'lying') {
    if (pose.over) m.multiply(new Matrix4().makeRotationZ(Math.PI));
    // band y (the top) → world z (towards the camera), band z (finger axis) → world y
    m.multiply(new Matrix4().set(-1, 0, 0, 0, 0, 0, 1, 0, 0, 1, 0, 0, 0, 0, 0, 1));
  }
  m.multiply(new Matrix4().makeRotationZ(pose.roll));
  return lean ? m.multiply(lean) : m;
}

/**
 * How far a tapered band leans when it lies: the lower edge touches the ground on both sides of its axis, towards the top
 * and towards the back. About the band's x, radians.
 */
function leanOf(shape: BuiltShape, over: boolean): Matrix4 | undefined {
  const side = over ? -1 : 1;
  const below: HullPoint[] = [];
  forEachVertex({ shape, toWorld: new Matrix4() }, (p) => {
    if (side * p.z < 0) below.push([p.y, side * p.z]);
  });
  const slope = supportAt(lowerHull(below), 0)?.slope ?? 0;
  return slope === 0 ? undefined : new Matrix4().makeRotationX(-side * Math.atan(slope));
}

/** Heights of the plane a + b x + c y that a lying band rests on: none of its places lies below it. */
type Rest = [a: number, b: number, c: number];

/**
 * How a band with an outline lies: on the three places that carry it, the side of its hull under its axis. It is the
 * highest plane there that no place lies below, found by taking in the place that lies farthest below until none does.
 */
function restOf(shape: BuiltShape, over: boolean): Matrix4 {
  const lean = new Matrix4();
  // what lies under the axis shifts a little as the band leans
  for (let turn = 0; turn < LEANS; turn++) lean.premultiply(leanToRest(shape, over, lean));
  return lean;
}

const LEANS = 3;

/** From how it leans already to where it lies, or nearer to it. */
function leanToRest(shape: BuiltShape, over: boolean, leaning: Matrix4): Matrix4 {
  const side = over ? -1 : 1;
  const places: [x: number, y: number, height: number][] = [];
  forEachVertex({ shape, toWorld: leaning }, ({ x, y, z }) => {
    if (side * z < 0) places.push([x, y, side * z]);
  });
  const reach = shape.innerDiameterMm;
  const carrying = [0, 1, 2].map((k): (typeof places)[number] => {
    const a = (2 * Math.PI * k) / 3;
    return [reach * Math.sin(a), reach * Math.cos(a), FAR_ABOVE];
  });
  let rest = highestUnder(carrying);
  for (let turn = 0; turn < 60 && rest; turn++) {
    const [a, b, c] = rest;
    const below = places.reduce((p, q) =>
      q[2] - a - b * q[0] - c * q[1] < p[2] - a - b * p[0] - c * p[1] ? q : p,
    );
    if (below[2] - a - b * below[0] - c * below[1] > -1e-6) break;
    carrying.push(below);
    rest = highestUnder(carrying);
  }
  if (!rest) return new Matrix4();
  const [, b, c] = rest;
  const up = new Vector3(-b, -c, 1).normalize();
  const lean = new Quaternion().setFromUnitVectors(up, new Vector3(0, 0, 1));
  // seen from the other side the plane is turned over
  if (side < 0) lean.set(-lean.x, -lean.y, lean.z, lean.w);
  return new Matrix4().makeRotationFromQuaternion(lean);
}

/** Height of three places that bound the search: whatever carries a band lies lower, mm. */
const FAR_ABOVE = 1e3;

/** Of planes through three of the places with none below, the one that is highest at the axis. */
function highestUnder(places: readonly [number, number, number][]): Rest | undefined {
  let best: Rest | undefined;
  const n = places.length;
  for (let i = 0; i < n; i++)
    for (let j = i + 1; j < n; j++)
      for (let k = j + 1; k < n; k++) {
        const plane = planeThrough(places[i], places[j], places[k]);
        if (!plane || (best && plane[0] <= best[0])) continue;
        const [a, b, c] = plane;
        if (places.every(([x, y, h]) => h - a - b * x - c * y > -1e-7)) best = plane;
      }
  return best;
}

function planeThrough(p: readonly number[], q: readonly number[], r: readonly number[]): Rest | undefined {
  const [x1, y1, h1] = [q[0] - p[0], q[1] - p[1], q[2] - p[2]];
  const [x2, y2, h2] = [r[0] - p[0], r[1] - p[1], r[2] - p[2]];
  const area = x1 * y2 - x2 * y1;
  if (Math.abs(area) < 1e-9) return undefined;
  const b = (h1 * y2 - h2 * y1) / area;
  const c = (x1 * h2 - x2 * h1) / area;
  return [p[2] - b * p[0] - c * p[1], b, c];
}

export type HullPoint = [across: number, height: number];

/** The lower sides of the points' convex hull, from left to right. */
export function lowerHull(points: readonly HullPoint[]): HullPoint[] {
  const hull: HullPoint[] = [];
  for (const p of [...points].sort((a, b) => a[0] - b[0] || a[1] - b[1])) {
    while (hull.length > 1 && !turnsUp(hull[hull.length - 2], hull[hull.length - 1], p)) hull.pop();
    hull.push(p);
  }
  return hull;
}

/** The side of a lower hull that passes under a place: what rests there touches at both of its ends. Undefined beyond the hull. */
export function supportAt(
  hull: readonly HullPoint[],
  across: number,
): { slope: number; height: number } | undefined {
  const i = hull.findIndex(([a]) => a > across);
  if (i < 1) return undefined;
  const [[a0, h0], [a1, h1]] = [hull[i - 1], hull[i]];
  const slope = (h1 - h0) / (a1 - a0);
  return { slope, height: h0 + slope * (across - a0) };
}

function turnsUp(a: HullPoint, b: HullPoint, c: HullPoint): boolean {
  return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) > 0;
}

/** Calls `visit` with every vertex of lanes and stones, in world coordinates. The vector is reused. */
export function forEachVertex(band: PlacedBand, visit: (p: Vector3) => void): void {
  const p = new Vector3();
  for (const lane of band.shape.lanes) {
    const xyz = lane.mesh.positions;
    for (let i = 0; i < xyz.length; i += 3)
      visit(p.set(xyz[i], xyz[i + 1], xyz[i + 2]).applyMatrix4(band.toWorld));
  }
  const place = new Matrix4();
  for (const row of band.shape.rows) {
    const xyz = row.stone.mesh.positions;
    for (let k = 0; k < row.count; k++) {
      place.multiplyMatrices(band.toWorld, placement(row.placements, k));
      for (let i = 0; i < xyz.length; i += 3)
        visit(p.set(xyz[i], xyz[i + 1], xyz[i + 2]).applyMatrix4(place));
    }
  }
}

/** Matrix of stone k out of an array of 3×4 row-major matrices. */
export function placement(rows: ArrayLike<number>, k: number): Matrix4 {
  const o = k * 12;
  const r = (i: number) => rows[o + i];
  // biome-ignore format: a matrix reads best as rows
  return new Matrix4().set(
    r(0), r(1), r(2), r(3),
    r(4), r(5), r(6), r(7),
    r(8), r(9), r(10), r(11),
    0, 0, 0, 1,
  );
}

function lyingLean(shape: BuiltShape, over: boolean): Matrix4 | undefined {
  if (shape.outline) return restOf(shape, over);
  return shape.back ? leanOf(shape, over) : undefined;
}

/**
 * Rests a band on the ground: the lowest vertex of metal and stones touches y = 0, so a band neither floats
 * nor sinks.
 */
export function placeBand(shape: BuiltShape, pose: Pose): PlacedBand {
  const lean = pose.rest === 'lying' ? lyingLean(shape, pose.over ?? false) : undefined;
  const band = { shape, toWorld: orientation(pose, lean) };
  let lowest = Number.POSITIVE_INFINITY;
  forEachVertex(band, (p) => {
    if (p.y < lowest) lowest = p.y;
  });
  band.toWorld = new Matrix4().makeTranslation(pose.x, -lowest, pose.z).multiply(band.toWorld);
  return band;
}
