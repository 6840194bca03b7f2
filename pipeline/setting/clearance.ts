import type { Lane, LaneBound } from '../band/lane.ts';
import { type ProfileSurface, radiusAt } from '../band/profile.ts';
import type { Girdle } from './girdle.ts';
import { type Frame, toBand } from './stone.ts';
import { along, dot, type Vec } from './vec.ts';

/** θ of a point, measured from +y towards +x. */
export function thetaOf(p: Vec): number {
  return Math.atan2(p[0], p[1]);
}

/** Height along a frame's axis at which it crosses the outside or the bore. */
export function axisHeight(frame: Frame, surface: ProfileSurface): number {
  let h = 0;
  for (let i = 0; i < 50; i++) {
    const p = along(frame.origin, frame.axis, h);
    const excess = Math.hypot(p[0], p[1]) - radiusAt(surface(thetaOf(p)), p[2]);
    h -= excess;
    if (Math.abs(excess) < 1e-10) break;
  }
  return h;
}

/**
 * Distance from the axis at height h to the wall of a lane's bound, measured square to the axis, mm. The wall
 * consists of radial lines, each of which meets the plane through the axis point in one point.
 */
export function wallDistance(frame: Frame, h: number, bound: LaneBound): number {
  const centre = along(frame.origin, frame.axis, h);
  const [cx, cy, cz] = centre;
  const [ax, ay, az] = frame.axis;
  const level = dot(centre, frame.axis);
  const measure = (theta: number) => {
    const z = bound.curve.z(theta);
    const sin = Math.sin(theta);
    const cos = Math.cos(theta);
    const r = (level - z * az) / (sin * ax + cos * ay);
    return Math.sqrt((r * sin - cx) ** 2 + (r * cos - cy) ** 2 + (z - cz) ** 2);
  };
  const middle = thetaOf(centre);
  const span = Math.min(1, measure(middle) / Math.hypot(centre[0], centre[1]));
  return least(measure, middle - span, middle + span);
}

/** Least value of a function on an interval: survey, then golden-section search in the best cell. */
function least(f: (x: number) => number, low: number, high: number): number {
  const cells = 32;
  const step = (high - low) / cells;
  let best = 0;
  let lowest = f(low);
  for (let i = 1; i <= cells; i++) {
    const here = f(low + i * step);
    if (here < lowest) [best, lowest] = [i, here];
  }
  let a = low + Math.max(0, best - 1) * step;
  let b = low + Math.min(cells, best + 1) * step;
  const golden = (Math.sqrt(5) - 1) / 2;
  let [c, d] = [b - golden * (b - a), a + golden * (b - a)];
  let [fc, fd] = [f(c), f(d)];
  for (let i = 0; i < 24; i++) {
    if (fc < fd) {
      [b, d, fd] = [d, c, fc];
      c = b - golden * (b - a);
      fc = f(c);
    } else {
      [a, c, fc] = [c, d, fd];
      d = a + golden * (b - a);
      fd = f(d);
    }
  }
  return f((a + b) / 2);
}

/** Least metal between a cut of the given outline at height h and either bound of the lane, mm. */
export function wallBesideOutline(lane: Lane, frame: Frame, h: number, outline: Girdle): number {
  if (outline.kind === 'round') return wallBeside(lane, frame, h, outline.radius);
  let least = Number.POSITIVE_INFINITY;
  for (const [x, y] of outline.corners) {
    const origin = toBand(frame, [x, y, 0]);
    const corner = along(origin, frame.axis, h);
    for (const bound of [lane.low, lane.high]) {
      const within = bound.side * (bound.curve.z(thetaOf(corner)) - corner[2]) > 0;
      const wall = wallDistance({ ...frame, origin }, h, bound);
      least = Math.min(least, within ? wall : -wall);
    }
  }
  return least;
}

/** Least metal between a round cut of radius `rho` at height h and either bound of the lane, mm. */
export function wallBeside(lane: Lane, frame: Frame, h: number, rho: number): number {
  return Math.min(wallDistance(frame, h, lane.low), wallDistance(frame, h, lane.high)) - rho;
}
