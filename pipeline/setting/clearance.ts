import type { Lane, LaneBound } from '../band/lane.ts';
import { boreEnd, outerEnd } from '../band/lane-section.ts';
import { leastBetween } from '../band/least.ts';
import { type ProfileSurface, radiusAt, tangentZ } from '../band/profile.ts';
import type { Girdle } from './girdle.ts';
import { type Frame, toBand } from './stone.ts';
import { along, dot, type Vec } from './vec.ts';

/** θ of a point, measured from +y towards +x. */
export function thetaOf(p: Vec): number {
  return Math.atan2(p[0], p[1]);
}

/** Height along a frame's axis at which it crosses the outside or the bore, whichever way it looks. */
export function axisHeight(frame: Frame, surface: ProfileSurface): number {
  const { origin, axis } = frame;
  const way = origin[0] * axis[0] + origin[1] * axis[1] < 0 ? -1 : 1;
  let h = 0;
  for (let i = 0; i < 50; i++) {
    const p = along(origin, axis, h);
    const excess = Math.hypot(p[0], p[1]) - radiusAt(surface(thetaOf(p)), p[2]);
    h -= way * excess;
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
  return leastBetween(measure, middle - span, middle + span).value;
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

function surfaceEnd(lane: Lane, bound: LaneBound, theta: number): number {
  if (!lane.turned) return outerEnd(lane.outer(theta), bound, theta);
  const { curve, boreSoften } = boreEnd(bound);
  return tangentZ(lane.outer(theta), curve.z(theta) - bound.side * boreSoften, boreSoften);
}

/** A lane that ends where its softened edges begin: what is left of it beside a cut, seen at its surface. */
export function withinSoftening(lane: Lane): Lane {
  const narrowed = (bound: LaneBound): LaneBound => ({
    ...bound,
    curve: { ...bound.curve, z: (theta) => surfaceEnd(lane, bound, theta) },
  });
  return { ...lane, low: narrowed(lane.low), high: narrowed(lane.high) };
}
