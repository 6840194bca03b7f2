import { Matrix4, Vector3 } from 'three';
import type { BuiltShape } from '../band/built-shape.ts';

/** How a band rests on the ground. Angles in radians. */
export interface Pose {
  /** `standing`: finger axis level; `lying`: finger axis upright, the top of the band towards the camera */
  rest: 'standing' | 'lying';
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

/** World from band, without the lift that puts the band on the ground. */
function orientation(pose: Pose, tilt: number): Matrix4 {
  const m = new Matrix4().makeRotationY(pose.yaw);
  if (pose.rest === 'lying') {
    // band y (the top) → world z (towards the camera), band z (finger axis) → world y
    m.multiply(new Matrix4().set(-1, 0, 0, 0, 0, 0, 1, 0, 0, 1, 0, 0, 0, 0, 0, 1));
  }
  m.multiply(new Matrix4().makeRotationZ(pose.roll));
  return tilt === 0 ? m : m.multiply(new Matrix4().makeRotationX(tilt));
}

/**
 * How far a tapered band leans when it lies: the lower edge touches the ground on both sides of its axis, towards the top
 * and towards the back. About the band's x, radians.
 */
function leanOf(shape: BuiltShape): number {
  const below: Point[] = [];
  forEachVertex({ shape, toWorld: new Matrix4() }, (p) => {
    if (p.z < 0) below.push([p.y, p.z]);
  });
  // of the hull's lower sides the one that passes under the axis
  const hull: Point[] = [];
  for (const p of below.sort((a, b) => a[0] - b[0] || a[1] - b[1])) {
    while (hull.length > 1 && !turnsUp(hull[hull.length - 2], hull[hull.length - 1], p)) hull.pop();
    hull.push(p);
  }
  const i = hull.findIndex(([y]) => y > 0);
  const [[y0, z0], [y1, z1]] = [hull[i - 1], hull[i]];
  return -Math.atan2(z1 - z0, y1 - y0);
}

type Point = [y: number, z: number];

function turnsUp(a: Point, b: Point, c: Point): boolean {
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

/**
 * Rests a band on the ground: the lowest vertex of metal and stones touches y = 0, so a band neither floats
 * nor sinks.
 */
export function placeBand(shape: BuiltShape, pose: Pose): PlacedBand {
  const lean = pose.rest === 'lying' && shape.back ? leanOf(shape) : 0;
  const band = { shape, toWorld: orientation(pose, lean) };
  let lowest = Number.POSITIVE_INFINITY;
  forEachVertex(band, (p) => {
    if (p.y < lowest) lowest = p.y;
  });
  band.toWorld = new Matrix4().makeTranslation(pose.x, -lowest, pose.z).multiply(band.toWorld);
  return band;
}
