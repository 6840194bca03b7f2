import { type FacetPlane, girdlePlanes, through } from './facet-plane.ts';
import { add, scale, type Vec } from './vec.ts';

export type Point = readonly [number, number];

/** A convex outline about the point over the culet. */
export interface BrilliantOutline {
  /** the main points all round, counter-clockwise, with the outline's tangent there */
  mains: readonly MainPoint[];
  /** the outline's point on the ray from the culet in a direction */
  onRay(direction: Point): Point;
  /** middle of the outline's length and width, from the culet; there by default */
  middle?: Point;
}

export interface MainPoint {
  at: Point;
  tangent: Point;
}

/** Shares of the width unless said otherwise; heights, not angles, because angles change round the outline. */
export interface OutlineProportions {
  /** table as a share of the outline */
  table: number;
  crown: number;
  pavilion: number;
  /** girdle thickness under the bezels */
  girdle: number;
  /** length of a star as a share of the way from the table's edge to the girdle */
  star: number;
  /** length of a lower half as a share of the way from the girdle to the culet */
  lowerHalf: number;
}

/**
 * Crown and pavilion as for a round brilliant of about 34° and 41.5° across the width; table 53–63 % and depth
 * 58–63 % are usual for ovals, marquises and pears (mydiamondcuts.com, ideal cuts of shapes: marquise table 55–63 %; ovals
 * common practice). Depth here is 61.6 %.
 */
export const FINE_FANCY: OutlineProportions = {
  table: 0.58,
  crown: 0.142,
  pavilion: 0.444,
  girdle: 0.03,
  star: 0.55,
  lowerHalf: 0.8,
};

/** Table 54–64 % and depth 65–66 % are called ideal (rosellejewelry.com, depth and table for a cushion diamond). */
export const FINE_CUSHION: OutlineProportions = { ...FINE_FANCY, table: 0.6, crown: 0.15, pavilion: 0.47 };

/** Shallow: depth 30–40 % (gsdiamonds.com, trillion); table as other fancy brilliants (common practice). */
export const FINE_TRILLIANT: OutlineProportions = { ...FINE_FANCY, crown: 0.09, pavilion: 0.28 };

/**
 * A brilliant on any such outline: of eight mains it has 57 facets (table, 8 stars, 8 bezels, 16 upper halves, 16 lower
 * halves, 8 mains) and 32 girdle planes. Every plane is solved from points where facets meet, as in the round: bezels and mains hold the
 * outline's tangent at their girdle point, the table is the outline drawn smaller, so that the edge between two
 * neighbours lies above the ray from the centre through their tangents' crossing; star tips and half tips lie on those
 * edges, and the half facets' girdle corners where the rays meet the outline.
 * @param widthMm scale of the heights
 */
export function outlineBrilliant(
  outline: BrilliantOutline,
  widthMm: number,
  cut: OutlineProportions,
): FacetPlane[] {
  const { halfGirdle, top, culet } = outlineHeights(widthMm, cut);
  const { mains, middle = [0, 0] } = outline;
  const lift = ([x, y]: Point, z: number): Vec => [x, y, z];
  const planes: FacetPlane[] = [{ facet: 'table', n: [0, 0, 1], d: top }];
  const corners: Point[] = [];
  mains.forEach((main, k) => {
    const next = mains[(k + 1) % mains.length];
    const crossing = meet(main, next);
    const joint = outline.onRay(crossing);
    const tangent: Vec = [...main.tangent, 0];
    const corner = scale(lift(main.at, 0), cut.table);
    const onTable: Vec = [corner[0], corner[1], top];
    const nextOnTable: Vec = [next.at[0] * cut.table, next.at[1] * cut.table, top];
    const girdle = lift(main.at, halfGirdle);
    const foot = lift(main.at, -halfGirdle);
    planes.push(
      { facet: 'bezel', ...through(girdle, add(girdle, tangent), onTable) },
      { facet: 'main', ...through(foot, add(foot, tangent), [0, 0, -culet]) },
    );
    // on the edges between neighbours, from the crossing of their traces inwards
    const tableEdge = edgeShare(onTable, nextOnTable, crossing);
    const outer = joint[0] / crossing[0] || joint[1] / crossing[1];
    const starShare = tableEdge + cut.star * (outer - tableEdge);
    const starTip = bezelEdge(crossing, starShare, cut.table, halfGirdle, top);
    const lowerShare = (1 - cut.lowerHalf) * outer;
    const lowerTip: Vec = [
      crossing[0] * lowerShare,
      crossing[1] * lowerShare,
      -culet + (culet - halfGirdle) * lowerShare,
    ];
    planes.push({ facet: 'star', ...through(onTable, nextOnTable, starTip) });
    for (const side of [main.at, next.at]) {
      planes.push(
        { facet: 'upper-half', ...through(starTip, lift(side, halfGirdle), lift(joint, halfGirdle)) },
        { facet: 'lower-half', ...through(lowerTip, lift(side, -halfGirdle), lift(joint, -halfGirdle)) },
      );
    }
    corners.push(main.at, between(outline, main.at, joint), joint, between(outline, joint, next.at));
  });
  return [...planes, ...girdlePlanes(corners)].map(({ facet, n, d }) => ({
    facet,
    n,
    d: d - n[0] * middle[0] - n[1] * middle[1],
  }));
}

/** Heights of the table, the girdle's edge and the culet from the girdle plane, mm. */
export function outlineHeights(widthMm: number, cut: OutlineProportions) {
  const halfGirdle = (cut.girdle * widthMm) / 2;
  return { halfGirdle, top: halfGirdle + cut.crown * widthMm, culet: halfGirdle + cut.pavilion * widthMm };
}

/** Height on the edge of two bezels over the share `s` of the ray to their girdle traces' crossing. */
function bezelEdge(crossing: Point, s: number, table: number, halfGirdle: number, top: number): Vec {
  const z = halfGirdle + ((1 - s) / (1 - table)) * (top - halfGirdle);
  return [crossing[0] * s, crossing[1] * s, z];
}

/** Share of the ray to `crossing` at which it meets the straight line from a to b. */
function edgeShare(a: Vec, b: Vec, [x, y]: Point): number {
  const n: Point = [b[1] - a[1], a[0] - b[0]];
  return (n[0] * a[0] + n[1] * a[1]) / (n[0] * x + n[1] * y);
}

/** Where the tangents of two main points cross. */
function meet(a: { at: Point; tangent: Point }, b: { at: Point; tangent: Point }): Point {
  const [tx, ty] = a.tangent;
  const [ux, uy] = b.tangent;
  const dx = b.at[0] - a.at[0];
  const dy = b.at[1] - a.at[1];
  const t = (dx * uy - dy * ux) / (tx * uy - ty * ux);
  return [a.at[0] + t * tx, a.at[1] + t * ty];
}

/** The outline's point half-way between two of its points. */
function between(outline: BrilliantOutline, a: Point, b: Point): Point {
  return outline.onRay([a[0] + b[0], a[1] + b[1]]);
}
