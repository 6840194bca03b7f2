import type { StoneSolid } from '../band/built-shape.ts';
import type { StoneCutName } from '../catalogue/design.ts';
import { brilliantHeights, type FacetPlane, roundBrilliant } from './brilliant.ts';
import { facetMesh, intersectHalfSpaces } from './convex-solid.ts';
import { along, dot, sub, type Vec } from './vec.ts';

/** A cut as its planes, with the measures that seats and claws need. Local frame as in StoneSolid; mm. */
export interface Stone {
  solid: StoneSolid;
  planes: FacetPlane[];
  radius: number;
  halfGirdle: number;
  /** from the girdle plane to the table */
  tableHeight: number;
  /** from the girdle plane to the culet */
  culetDepth: number;
  /** tan of the angle between the bearing and the girdle plane */
  bearingSlope: number;
}

export function cutStone(cut: StoneCutName, diameterMm: number): Stone {
  const planes = roundBrilliant(diameterMm);
  const convex = intersectHalfSpaces(planes, diameterMm);
  const { positions, normals, indices } = facetMesh(convex, planes);
  const { crown, pavilion, halfGirdle } = brilliantHeights(diameterMm);
  const tableHeight = halfGirdle + crown;
  const culetDepth = halfGirdle + pavilion;
  return {
    solid: {
      cut,
      diameterMm,
      depthMm: tableHeight + culetDepth,
      planes: Float64Array.from(planes.flatMap(({ n, d }) => [...n, d])),
      mesh: { positions, normals, indices },
      volumeMm3: convex.volume,
    },
    planes,
    radius: diameterMm / 2,
    halfGirdle,
    tableHeight,
    culetDepth,
    bearingSlope: (2 * pavilion) / diameterMm,
  };
}

/** Height of the crown's surface above the girdle plane over a point (x, y) inside the girdle. */
export function crownHeightAt(stone: Stone, x: number, y: number): number {
  let height = Infinity;
  for (const { n, d } of stone.planes) {
    if (n[2] > 1e-9) height = Math.min(height, (d - n[0] * x - n[1] * y) / n[2]);
  }
  return height;
}

/** A rigid place in the band: `x` along the row, `y` across it, `axis` outward through the table. */
export interface Frame {
  origin: Vec;
  x: Vec;
  y: Vec;
  axis: Vec;
}

/** Band coordinates of a point given in a frame. */
export function toBand(frame: Frame, p: Vec): Vec {
  return along(along(along(frame.origin, frame.x, p[0]), frame.y, p[1]), frame.axis, p[2]);
}

/** Direction in band coordinates. */
export function turnToBand(frame: Frame, v: Vec): Vec {
  return toBand({ ...frame, origin: [0, 0, 0] }, v);
}

/** A frame's own coordinates of a point of the band. */
export function toStone(frame: Frame, p: Vec): Vec {
  const from = sub(p, frame.origin);
  return [dot(from, frame.x), dot(from, frame.y), dot(from, frame.axis)];
}
