import { type FacetPlane, girdlePlanes, through } from './facet-plane.ts';
import { add, scale, type Vec } from './vec.ts';

type Point = readonly [number, number];

/** A convex outline, symmetric about both axes, as a curve that returns the point and tangent for a parameter. */
export interface BrilliantOutline {
  /** the three main points of a quarter: on +x, between, on +y, with the outline's tangent there */
  mains: readonly { at: Point; tangent: Point }[];
  /** the outline's point on the ray from the centre in a direction */
  onRay(direction: Point): Point;
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
 * 58–63 % are usual for ovals and marquises (mydiamondcuts.com, ideal cuts of shapes: marquise table 55–63 %; ovals
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

/** An ellipse: its brilliant is the round one stretched. */
export function ellipse(lengthMm: number, widthMm: number): BrilliantOutline {
  const [a, b] = [lengthMm / 2, widthMm / 2];
  const main = (turn: number) => ({
    at: [a * Math.cos(turn), b * Math.sin(turn)] as const,
    tangent: [-a * Math.sin(turn), b * Math.cos(turn)] as const,
  });
  return {
    mains: [main(0), main(Math.PI / 4), main(Math.PI / 2)],
    onRay: ([x, y]) => {
      const size = Math.hypot(x / a, y / b);
      return [x / size, y / size];
    },
  };
}

/** Two equal circular arcs that meet in points at ±x. */
export function pointedOval(lengthMm: number, widthMm: number): BrilliantOutline {
  const [a, b] = [lengthMm / 2, widthMm / 2];
  const radius = (a * a + b * b) / (2 * b);
  const below = radius - b;
  const half = Math.asin(a / radius);
  const main = (turn: number) => ({
    at: [radius * Math.sin(turn), radius * Math.cos(turn) - below] as const,
    tangent: [-Math.cos(turn), Math.sin(turn)] as const,
  });
  return {
    // the facet on the point lies square to the length
    mains: [{ at: [a, 0], tangent: [0, 1] }, main(half / 2), main(0)],
    onRay: ([x, y]) => {
      // |t·(x, |y|) + (0, below)| = radius
      const c = Math.abs(y) * below;
      const s2 = x * x + y * y;
      const t = (-c + Math.sqrt(c * c + s2 * (radius * radius - below * below))) / s2;
      return [t * x, t * y];
    },
  };
}

/**
 * A brilliant of 57 facets (table, 8 stars, 8 bezels, 16 upper halves, 16 lower halves, 8 mains) and 32 girdle planes
 * on any such outline. Every plane is solved from points where facets meet, as in the round: bezels and mains hold the
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
  const mains = allRound(outline.mains);
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
  return [...planes, ...girdlePlanes(corners)];
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

/** A quarter's three mains mirrored into all eight, counter-clockwise from +x. */
function allRound(quarter: BrilliantOutline['mains']): { at: Point; tangent: Point }[] {
  const [end, between, side] = quarter;
  const turned = (m: { at: Point; tangent: Point }, sx: number, sy: number) => ({
    at: [m.at[0] * sx, m.at[1] * sy] as Point,
    // a mirrored curve runs the other way, which a plane does not mind
    tangent: [m.tangent[0] * sx, m.tangent[1] * sy] as Point,
  });
  return [
    end,
    between,
    side,
    turned(between, -1, 1),
    turned(end, -1, 1),
    turned(between, -1, -1),
    turned(side, 1, -1),
    turned(between, 1, -1),
  ];
}
