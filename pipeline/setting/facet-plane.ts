import { cross, dot, scale, sub, unit, type Vec } from './vec.ts';

/** A half-space n·x ≤ d, n unit, with the facet's name. */
export interface FacetPlane {
  facet:
    | 'table'
    | 'star'
    | 'bezel'
    | 'upper-half'
    | 'upper-step'
    | 'girdle'
    | 'lower-half'
    | 'lower-step'
    | 'chevron'
    | 'main';
  n: Vec;
  d: number;
}

export const radians = (degrees: number) => (degrees * Math.PI) / 180;

/** Plane through `point` whose steepest line points to `azimuth` and makes `angle` with the girdle plane. */
export function sloping(azimuth: number, angle: number, point: Vec): { n: Vec; d: number } {
  const s = Math.abs(Math.sin(angle));
  const n: Vec = [s * Math.cos(azimuth), s * Math.sin(azimuth), Math.cos(angle)];
  return { n, d: dot(n, point) };
}

/** Plane through three points with the origin on its inner side. */
export function through(a: Vec, b: Vec, c: Vec): { n: Vec; d: number } {
  const n = unit(cross(sub(b, a), sub(c, a)));
  const d = dot(n, a);
  return d >= 0 ? { n, d } : { n: scale(n, -1), d: -d };
}

/** Vertical planes of a girdle through the sides of a convex outline (x, y), counter-clockwise. */
export function girdlePlanes(corners: readonly (readonly [number, number])[]): FacetPlane[] {
  return corners.map(([x, y], i) => {
    const [x1, y1] = corners[(i + 1) % corners.length];
    const n = unit([y1 - y, x - x1, 0]);
    return { facet: 'girdle', n, d: n[0] * x + n[1] * y };
  });
}

/** The planes of a stone turned a quarter about its axis: length and width change places. */
export function quarterTurned(planes: readonly FacetPlane[]): FacetPlane[] {
  return planes.map(({ facet, n, d }) => ({ facet, n: [-n[1], n[0], n[2]], d }));
}

/** The planes of a stone stretched along x and y, which keeps facets meeting where they met. */
export function stretched(planes: readonly FacetPlane[], sx: number, sy: number): FacetPlane[] {
  return planes.map(({ facet, n, d }) => {
    const m: Vec = [n[0] / sx, n[1] / sy, n[2]];
    const size = Math.hypot(...m);
    return { facet, n: scale(m, 1 / size), d: d / size };
  });
}
