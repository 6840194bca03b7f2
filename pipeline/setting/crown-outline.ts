import { girdleReach } from './girdle.ts';
import type { Stone } from './stone.ts';

/**
 * Outline (ρ, h) of a crown turned about its axis, from the girdle's top to the table: the convex hull of its
 * corners. Along a straight edge ρ never exceeds what lies between the ends, so the hull holds the whole stone.
 */
export function crownOutline(stone: Stone): [number, number][] {
  const p = stone.solid.mesh.positions;
  const near = girdleReach(stone.girdle) * 1e-4;
  const corners: [number, number][] = [];
  for (let i = 0; i < p.length; i += 3) {
    if (p[i + 2] > stone.halfGirdle * 0.999) corners.push([Math.hypot(p[i], p[i + 1]), p[i + 2]]);
  }
  corners.sort((a, b) => b[0] - a[0] || a[1] - b[1]);
  const hull: [number, number][] = [];
  for (const corner of corners) {
    const last = hull.at(-1);
    if (last && Math.hypot(last[0] - corner[0], last[1] - corner[1]) < near) continue;
    while (hull.length > 1 && !bulges(hull[hull.length - 2], hull[hull.length - 1], corner)) hull.pop();
    hull.push(corner);
  }
  return hull;
}

/** Whether b stands out from the line a to c, on an outline that runs inwards and upwards. */
function bulges(a: [number, number], b: [number, number], c: [number, number]): boolean {
  return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) > 0;
}
