import { type FacetPlane, girdlePlanes, stretched, through } from './facet-plane.ts';
import type { Vec } from './vec.ts';

/** Proportions of a princess as shares of its width; outlines as shares of the half-width. */
export interface PrincessProportions {
  /** table from the middle of one side to the other */
  table: number;
  /** table's corners on the diagonals, along either axis */
  tableCorner: number;
  crown: number;
  girdle: number;
  pavilion: number;
  /** point where star, corner facet, and both side facets meet: towards the side, and along it */
  tip: readonly [number, number];
  /** chevron points on the middle line of a side, from the girdle inwards: place, and drop as a share of the pavilion */
  chevrons: readonly (readonly [place: number, drop: number])[];
  /** place on the middle line where the corner facets of two corners meet the last chevron */
  mainTip: number;
}

/**
 * Table 68–72 %, depth 71–75 %, crown 9.5–14 %, three chevrons: diamondscreener.com princess guide. How steep the
 * chevrons are is common practice: about 66° at the girdle, 52°, 47° and 44° below, 39° along the corner facets.
 */
export const FINE_PRINCESS: PrincessProportions = {
  table: 0.7,
  tableCorner: 0.55,
  crown: 0.11,
  girdle: 0.03,
  pavilion: 0.58,
  tip: [0.8, 0.52],
  chevrons: [
    [0.82, 0.35],
    [0.64, 0.55],
    [0.46, 0.715],
  ],
  mainTip: 0.3,
};

export function princessHeights(widthMm: number, cut = FINE_PRINCESS) {
  const halfGirdle = (cut.girdle * widthMm) / 2;
  return { halfGirdle, top: halfGirdle + cut.crown * widthMm, culet: halfGirdle + cut.pavilion * widthMm };
}

/**
 * The 57 planes of a princess of three chevrons (mgc-labs.ru lists its facets): crown of 21 (octagonal table, 8 stars,
 * 4 corner facets, 4 triangles over 4 trapezoids on the sides), 4 girdle sides, pavilion of 32 (4 side facets, 24
 * chevron facets that fan out from the corners, 4 corner facets that meet in the culet). An oblong one is the square
 * stretched along x.
 */
export function princess(lengthMm: number, widthMm: number, cut = FINE_PRINCESS): FacetPlane[] {
  const { halfGirdle, top, culet } = princessHeights(widthMm, cut);
  const h = widthMm / 2;
  const planes: FacetPlane[] = [{ facet: 'table', n: [0, 0, 1], d: top }];
  for (let turn = 0; turn < 4; turn++) {
    for (const { facet, points } of [
      ...crownSide(h, top, halfGirdle, cut),
      ...pavilionSide(h, culet, halfGirdle, cut),
    ]) {
      const [a, b, c] = points.map((p) => quarter(p, turn));
      planes.push({ facet, ...through(a, b, c) });
    }
  }
  const square: [number, number][] = [
    [h, -h],
    [h, h],
    [-h, h],
    [-h, -h],
  ];
  return stretched([...planes, ...girdlePlanes(square)], lengthMm / widthMm, 1);
}

interface Facet {
  facet: FacetPlane['facet'];
  points: readonly [Vec, Vec, Vec];
}

/** Crown facets of the side towards +x and of the corner towards (+x, +y). */
function crownSide(h: number, top: number, halfGirdle: number, cut: PrincessProportions): Facet[] {
  const corner: Vec = [h, h, halfGirdle];
  const d = cut.tableCorner * h;
  const tableCorner: Vec = [d, d, top];
  const tableSide: Vec = [cut.table * h, 0, top];
  // the corner facet falls evenly along the diagonal, level across it
  const [u, v] = cut.tip;
  const fall = (2 - u - v) / (2 - 2 * cut.tableCorner);
  const tip: Vec = [u * h, v * h, halfGirdle + fall * (top - halfGirdle)];
  return [
    { facet: 'bezel', points: [corner, [2 * h, 0, halfGirdle], tableCorner] },
    { facet: 'star', points: [tableCorner, tableSide, tip] },
    { facet: 'star', points: [mirrored(tableCorner), tableSide, mirrored(tip)] },
    { facet: 'upper-step', points: [tableSide, tip, mirrored(tip)] },
    { facet: 'upper-half', points: [corner, mirrored(corner), tip] },
  ];
}

/** Pavilion facets of the side towards +x and of the corner towards (+x, +y). */
function pavilionSide(h: number, culet: number, halfGirdle: number, cut: PrincessProportions): Facet[] {
  const corner: Vec = [h, h, -halfGirdle];
  const drop = culet - halfGirdle;
  const bottom: Vec = [0, 0, -culet];
  // on the middle line two corner facets fall half as fast as along their diagonals
  const last: Vec = [cut.mainTip * h, 0, -culet + (drop * cut.mainTip) / 2];
  const points: Vec[] = [
    ...cut.chevrons.map(([place, share]): Vec => [place * h, 0, -halfGirdle - share * drop]),
    last,
  ];
  const facets: Facet[] = [
    { facet: 'lower-half', points: [corner, mirrored(corner), points[0]] },
    { facet: 'main', points: [corner, [2 * h, 0, -halfGirdle], bottom] },
  ];
  for (let i = 1; i < points.length; i++) {
    facets.push(
      { facet: 'chevron', points: [corner, points[i - 1], points[i]] },
      { facet: 'chevron', points: [mirrored(corner), points[i - 1], points[i]] },
    );
  }
  return facets;
}

const mirrored = ([x, y, z]: Vec): Vec => [x, -y, z];

function quarter([x, y, z]: Vec, turns: number): Vec {
  const [c, s] = [
    [1, 0],
    [0, 1],
    [-1, 0],
    [0, -1],
  ][turns];
  return [c * x - s * y, s * x + c * y, z];
}
