import type { StoneSolid } from '../band/built-shape.ts';
import type { RowDesign, StoneCutName } from '../plan/design.ts';
import { BAGUETTE_TAPER } from '../trade/cuts.ts';
import { brilliantHeights, roundBrilliant } from './brilliant.ts';
import { cushion, drop, ellipse, pointedOval, threeArcs } from './brilliant-outlines.ts';
import { facetMesh, intersectHalfSpaces } from './convex-solid.ts';
import { type FacetPlane, quarterTurned } from './facet-plane.ts';
import type { Girdle, OutlinePoint } from './girdle.ts';
import {
  type BrilliantOutline,
  FINE_CUSHION,
  FINE_FANCY,
  FINE_TRILLIANT,
  type OutlineProportions,
  outlineBrilliant,
  outlineHeights,
} from './outline-brilliant.ts';
import { princess, princessHeights } from './princess.ts';
import { singleCut, singleCutHeights } from './single-cut.ts';
import { FINE_BAGUETTE, stepCut, stepCutHeights } from './step-cut.ts';
import { along, dot, sub, type Vec } from './vec.ts';

/** A cut as its planes, with the measures that seats and claws need. Local frame as in StoneSolid; mm. */
export interface Stone {
  solid: StoneSolid;
  planes: FacetPlane[];
  /** outline of the girdle; x runs along the row */
  girdle: Girdle;
  halfGirdle: number;
  /** from the girdle plane to the table */
  tableHeight: number;
  /** from the girdle plane to the culet or keel */
  culetDepth: number;
  /** every corner where facets meet */
  corners: Vec[];
  /** points that reach deepest and farthest: the pavilion's corners */
  pavilionCorners: Vec[];
  /** for round stones, which sit in turned seats */
  cone?: BearingCone;
}

/** The cone of revolution that holds a round pavilion. */
export interface BearingCone {
  /** depth of the girdle's lower edge where the cone meets it */
  girdleFoot: number;
  /** tan of the angle between the cone and the girdle plane */
  slope: number;
  /** how far facets stand out of the cone, measured square to it, as a share of the radius */
  bulge: number;
}

interface Faceted {
  planes: FacetPlane[];
  halfGirdle: number;
  tableHeight: number;
  culetDepth: number;
  cone?: BearingCone;
}

/** Size of a row's stones along it, mm. */
export function alongRow({ lengthMm, diameterMm }: Pick<RowDesign, 'lengthMm' | 'diameterMm'>): number {
  return lengthMm ?? diameterMm;
}

/**
 * A stone `diameterMm` wide across its row and, unless round, `lengthMm` long along it. A stone longer across the row
 * than along it is the same cut turned by a quarter.
 */
export function cutStone(cut: StoneCutName, diameterMm: number, lengthMm = diameterMm): Stone {
  const across = lengthMm < diameterMm;
  const [long, wide] = across ? [diameterMm, lengthMm] : [lengthMm, diameterMm];
  const { planes: straight, ...measures } = facetsOf(cut, long, wide);
  const planes = across ? quarterTurned(straight) : straight;
  const convex = intersectHalfSpaces(planes, Math.max(lengthMm, diameterMm));
  const { positions, normals, indices } = facetMesh(convex, planes);
  return {
    ...measures,
    planes,
    girdle: measures.cone ? { kind: 'round', radius: diameterMm / 2 } : girdleOf(planes),
    corners: convex.corners,
    pavilionCorners: convex.corners.filter(([, , z]) => z < 0),
    solid: {
      cut,
      diameterMm,
      ...(measures.cone ? {} : { lengthMm }),
      depthMm: measures.tableHeight + measures.culetDepth,
      planes: Float64Array.from(planes.flatMap(({ n, d }) => [...n, d])),
      mesh: { positions, normals, indices },
      volumeMm3: convex.volume,
    },
  };
}

function facetsOf(cut: StoneCutName, long: number, wide: number): Faceted {
  switch (cut) {
    case 'round-brilliant': {
      const { crown, pavilion, halfGirdle } = brilliantHeights(wide);
      // lower halves stand out of the cone through girdle and culet by 0.0099 of the radius
      const cone = { girdleFoot: halfGirdle, slope: (2 * pavilion) / wide, bulge: 0.01 };
      const heights = { halfGirdle, tableHeight: halfGirdle + crown, culetDepth: halfGirdle + pavilion };
      return { planes: roundBrilliant(wide), ...heights, cone };
    }
    case 'single-cut': {
      const { halfGirdle, table, culet, girdleFoot, edgeSlope } = singleCutHeights(wide);
      const cone = { girdleFoot, slope: edgeSlope, bulge: 0 };
      return { planes: singleCut(wide), halfGirdle, tableHeight: table, culetDepth: culet, cone };
    }
    case 'oval-brilliant':
      return outlined(ellipse, long, wide, FINE_FANCY);
    case 'marquise-brilliant':
      return outlined(pointedOval, long, wide, FINE_FANCY);
    case 'pear-brilliant':
      return outlined(drop, long, wide, FINE_FANCY);
    case 'cushion-brilliant':
      return outlined(cushion, long, wide, FINE_CUSHION);
    case 'trilliant':
      return outlined(threeArcs, long, wide, FINE_TRILLIANT);
    case 'princess':
      return { planes: princess(long, wide), ...named(princessHeights(wide)) };
    case 'baguette':
      return { planes: stepCut(long, wide), ...named(stepCutHeights(wide)) };
    case 'tapered-baguette': {
      const planes = stepCut(long, wide, FINE_BAGUETTE, BAGUETTE_TAPER);
      // its keel is deepest where it meets the facet of the wide end
      const { corners } = intersectHalfSpaces(planes, long);
      const culet = -Math.min(...corners.map(([, , z]) => z));
      return { planes, ...named({ ...stepCutHeights(wide), culet }) };
    }
  }
}

function outlined(
  outline: (longMm: number, wideMm: number) => BrilliantOutline,
  long: number,
  wide: number,
  cut: OutlineProportions,
): Faceted {
  return { planes: outlineBrilliant(outline(long, wide), wide, cut), ...named(outlineHeights(wide, cut)) };
}

function named({ halfGirdle, top, culet }: { halfGirdle: number; top: number; culet: number }) {
  return { halfGirdle, tableHeight: top, culetDepth: culet };
}

/** Outline of the vertical planes, which come in order round the stone. */
function girdleOf(planes: FacetPlane[]): Girdle {
  const sides = planes.filter(({ facet }) => facet === 'girdle');
  const corners = sides.map(({ n, d }, i): OutlinePoint => {
    const before = sides[(i + sides.length - 1) % sides.length];
    const det = before.n[0] * n[1] - before.n[1] * n[0];
    return [(before.d * n[1] - d * before.n[1]) / det, (before.n[0] * d - n[0] * before.d) / det];
  });
  return { kind: 'polygon', corners };
}

/** Height of the crown's surface above the girdle plane over a point (x, y) inside the girdle. */
export function crownHeightAt(stone: Stone, x: number, y: number): number {
  let height = Infinity;
  for (const { n, d } of stone.planes) {
    if (n[2] > 1e-9) height = Math.min(height, (d - n[0] * x - n[1] * y) / n[2]);
  }
  return height;
}

/** Height of the pavilion's surface, negative, under a point (x, y) inside the girdle. */
export function pavilionHeightAt(stone: Stone, x: number, y: number): number {
  let height = -Infinity;
  for (const { n, d } of stone.planes) {
    if (n[2] < -1e-9) height = Math.max(height, (d - n[0] * x - n[1] * y) / n[2]);
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
