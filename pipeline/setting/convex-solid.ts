import type { WeldedMesh } from '../band/welded-mesh.ts';
import { along, cross, dot, sub, unit, type Vec } from './vec.ts';

/** A half-space n·x ≤ d, n unit. */
export interface HalfSpace {
  n: Vec;
  d: number;
}

/** A convex solid: one polygon (counter-clockwise from outside) per half-space, empty where it takes no part. */
export interface ConvexSolid {
  corners: Vec[];
  /** indices into `corners`, in the order of the half-spaces */
  polygons: number[][];
  volume: number;
}

/**
 * Intersection of half-spaces by clipping each plane's polygon with all the others. Corners closer than
 * `weld` become one, so facets that meet in a point do so exactly.
 */
export function intersectHalfSpaces(planes: readonly HalfSpace[], size: number): ConvexSolid {
  const weld = size * 1e-7;
  const corners: Vec[] = [];
  const cornerAt = (p: Vec): number => {
    const found = corners.findIndex(
      (q) => Math.abs(q[0] - p[0]) < weld && Math.abs(q[1] - p[1]) < weld && Math.abs(q[2] - p[2]) < weld,
    );
    return found >= 0 ? found : corners.push(p) - 1;
  };
  const polygons = planes.map((plane, index) => {
    let polygon = planeSquare(plane, 4 * size);
    planes.forEach((other, k) => {
      if (k !== index) polygon = clip(polygon, other, weld * 0.1);
    });
    const welded = polygon.map(cornerAt);
    const ring = welded.filter((corner, i) => corner !== welded[(i + 1) % welded.length]);
    return ring.length < 3 ? [] : ring;
  });
  let volume = 0;
  for (const ring of polygons) {
    for (let i = 2; i < ring.length; i++) {
      volume += dot(corners[ring[0]], cross(corners[ring[i - 1]], corners[ring[i]])) / 6;
    }
  }
  return { corners, polygons, volume };
}

function planeSquare({ n, d }: HalfSpace, half: number): Vec[] {
  const helper: Vec = Math.abs(n[2]) < 0.9 ? [0, 0, 1] : [1, 0, 0];
  const u = unit(cross(helper, n));
  const v = cross(n, u);
  const centre: Vec = [n[0] * d, n[1] * d, n[2] * d];
  return [
    [-half, -half],
    [half, -half],
    [half, half],
    [-half, half],
  ].map(([a, b]) => along(along(centre, u, a), v, b));
}

/** Sutherland–Hodgman against one half-space; points within `tolerance` of its plane count as inside. */
function clip(polygon: Vec[], { n, d }: HalfSpace, tolerance: number): Vec[] {
  const kept: Vec[] = [];
  polygon.forEach((p, i) => {
    const q = polygon[(i + 1) % polygon.length];
    const hp = dot(n, p) - d;
    const hq = dot(n, q) - d;
    if (hp <= tolerance) kept.push(p);
    if (hp <= tolerance !== hq <= tolerance && Math.abs(hp - hq) > 0) {
      const t = Math.min(1, Math.max(0, hp / (hp - hq)));
      kept.push(along(p, sub(q, p), t));
    }
  });
  return kept;
}

/** Flat-shaded mesh: every polygon has its own corners, paired with their first occurrence. */
export function facetMesh(solid: ConvexSolid, planes: readonly HalfSpace[]): WeldedMesh {
  const positions: number[] = [];
  const normals: number[] = [];
  const indices: number[] = [];
  const mergeFrom: number[] = [];
  const mergeTo: number[] = [];
  const first = new Map<number, number>();
  solid.polygons.forEach((ring, facet) => {
    const base = positions.length / 3;
    ring.forEach((corner, i) => {
      positions.push(...solid.corners[corner]);
      normals.push(...planes[facet].n);
      const twin = first.get(corner);
      if (twin === undefined) first.set(corner, base + i);
      else {
        mergeFrom.push(base + i);
        mergeTo.push(twin);
      }
    });
    for (let i = 2; i < ring.length; i++) indices.push(base, base + i - 1, base + i);
  });
  return {
    positions: Float32Array.from(positions),
    normals: Float32Array.from(normals),
    indices: Uint32Array.from(indices),
    mergeFrom: Uint32Array.from(mergeFrom),
    mergeTo: Uint32Array.from(mergeTo),
  };
}
