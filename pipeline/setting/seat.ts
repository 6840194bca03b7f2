import type { WeldedMesh } from '../band/welded-mesh.ts';
import { facetMesh, type HalfSpace, intersectHalfSpaces } from './convex-solid.ts';
import { crownOutline } from './crown-outline.ts';
import { girdlePlanes } from './facet-plane.ts';
import {
  type Girdle,
  girdleExtent,
  girdleReach,
  grownGirdle,
  type OutlinePoint,
  scaledGirdle,
} from './girdle.ts';
import { revolve, straightRun, type TurnedProfile } from './revolution.ts';
import { type Frame, pavilionHeightAt, type Stone, toBand, turnToBand } from './stone.ts';
import type { Vec } from './vec.ts';

/**
 * What is cut out of the metal for one stone; heights along the stone's axis from its girdle plane, mm. Round stones
 * sit in turned seats: opening, cone, hole. Others sit in seats of their own form: the stone's pavilion and girdle
 * moved outwards by the seat's air, open above, with a hole of the girdle's outline.
 */
export interface Seat {
  /** outline of the opening, a little wider than the stone */
  opening: Girdle;
  /** distance between stone and seat, square to the bearing */
  air: number;
  /** the bearing meets the opening here, below the girdle plane */
  bearingTop: number;
  /** outline of the through-hole; none for a closed seat */
  hole?: Girdle;
  /** how it widens towards the bore; straight if absent */
  azure?: Azure;
  /** height where the hole meets the bearing, or the point of a closed seat */
  bearingFoot: number;
}

/** Where a hole begins to widen, height along the stone's axis, and by how much on each side for each mm below. */
export interface Azure {
  from: number;
  slope: number;
}

/** Least air between stone and metal, mm: no metal ever lies inside a stone. */
export const STONE_CLEARANCE_MM = 0.01;
/** Least air between stone and seat, square to the bearing, mm (common practice: a close fit of 0.02–0.05 mm). */
const SEAT_CLEARANCE_MM = 0.02;

/** The seat of a stone, or one `grown` by some mm on the bearing and the opening. */
export function seatFor(stone: Stone, holeShare: number, grown = 0): Seat {
  const { girdle, cone } = stone;
  const hole = holeOf(girdle, holeShare, grown);
  if (!cone || girdle.kind !== 'round') {
    const air = grown + SEAT_CLEARANCE_MM;
    const [alongHole, acrossHole] = hole ? girdleExtent(hole) : [0, 0];
    // a bearing ends highest where the hole comes nearest to the girdle
    const foot = Math.max(
      ...[1, -1].flatMap((way) => [
        pavilionHeightAt(stone, (way * alongHole) / 2, 0),
        pavilionHeightAt(stone, 0, (way * acrossHole) / 2),
      ]),
    );
    const opening = grownGirdle(girdle, air);
    return { opening, air, bearingTop: -stone.halfGirdle - air, hole, bearingFoot: foot - air };
  }
  // larger stones need a little more air, for facets that stand out of the cone
  const air = grown + Math.max(SEAT_CLEARANCE_MM, STONE_CLEARANCE_MM + cone.bulge * girdle.radius);
  const drop = air * Math.hypot(1, cone.slope);
  const coneHeight = (rho: number) => -cone.girdleFoot - drop - (girdle.radius - rho) * cone.slope;
  const opening = girdle.radius + air;
  return {
    opening: { kind: 'round', radius: opening },
    air,
    bearingTop: coneHeight(opening),
    hole,
    bearingFoot: coneHeight(radiusOf(hole)),
  };
}

/** The through-hole; none where it is drawn in by half its width or more. */
function holeOf(girdle: Girdle, share: number, grown: number): Girdle | undefined {
  if (share <= 0) return undefined;
  const hole = scaledGirdle(girdle, share);
  return Math.min(...girdleExtent(hole)) + 2 * grown > 0 ? grownGirdle(hole, grown) : undefined;
}

/** Narrowest width of the through-hole, mm; 0 for a closed seat. */
export function holeWidth({ hole }: Seat): number {
  return hole ? Math.min(...girdleExtent(hole)) : 0;
}

/** Width of the bevel that takes the sharpness off a seat's rim and catches light, mm; a third of narrow gaps. */
const RIM_MM = 0.04;

/** Height at which the rim of a seat begins to open at 45°, below metal at height `level`; none where no wall stands there. */
export function rimHeight({ bearingTop, air }: Seat, level: number, gapMm: number): number | undefined {
  const rim = level - Math.min(RIM_MM, (gapMm - 2 * air) / 3);
  return rim < level && rim > bearingTop + RIM_MM / 4 ? rim : undefined;
}

const LEAST_HOLE_SIDES = 12;

/** Heights between which an opening widens at 45°; above it goes straight up again, so that neighbours stay apart. */
export interface Rim {
  from: number;
  to: number;
}

/** Places round an opening, and one within, at which the metal's height is looked at. */
export function rimPoints(opening: Girdle): Vec[] {
  const [length, width] = girdleExtent(opening);
  const round = Array.from({ length: 8 }, (_, i): Vec => {
    const turn = (i * Math.PI) / 4;
    return [(length / 2) * Math.cos(turn), (width / 2) * Math.sin(turn), 0];
  });
  return [[0, 0, 0], ...round];
}

/**
 * Cutters from above the metal (`top`) down to the bearing and, with a through-hole, on to `bottom`.
 * Heights are along the stone's axis from its girdle plane.
 * @param rim where the opening widens; straight up without
 */
export function seatCutters(
  frame: Frame,
  stone: Stone,
  seat: Seat,
  top: number,
  bottom: number,
  segments: number,
  rim?: Rim,
): WeldedMesh[] {
  const { opening, air, bearingTop, bearingFoot } = seat;
  if (opening.kind === 'polygon') {
    const below = stone.planes.filter(({ n }) => n[2] < 1e-9).map(({ n, d }) => ({ n, d: d + air }));
    const size = 2 * girdleReach(opening) + top - bottom;
    const form = facetedCutter(frame, [...below, { n: [0, 0, 1], d: top }], size);
    const flare = rim === undefined ? [] : [rimFlare(frame, opening.corners, rim.from, top, size)];
    return [form, ...flare, ...holePrism(frame, seat, bottom)];
  }
  const holeRadius = radiusOf(seat.hole);
  const end = rim?.from ?? top;
  const flared = rim ? Math.min(rim.to, top) : top;
  const wide = opening.radius + flared - end;
  // a narrower circle strays as little with fewer sides
  const sides = Math.ceil(segments * Math.sqrt(holeRadius / opening.radius));
  const ring = Math.max(Math.min(segments, LEAST_HOLE_SIDES), sides);
  const [foot, rest] = straightRun(holeRadius, bearingFoot, opening.radius, bearingTop);
  const openingRuns: TurnedProfile = [
    [{ ...foot, ring }, rest],
    straightRun(opening.radius, bearingTop, opening.radius, end),
    ...(rim ? [straightRun(opening.radius, end, wide, flared)] : []),
    ...(flared < top ? [straightRun(wide, flared, wide, top)] : []),
    straightRun(wide, top, 0, top),
  ];
  const holeRuns: TurnedProfile = runsThrough([...holeOutline(seat, bottom), [holeRadius, bearingFoot]]).map(
    (run) => run.map((point) => ({ ...point, ring })),
  );
  return [revolve(frame, holeRadius > 0 ? [...holeRuns, ...openingRuns] : openingRuns, segments)];
}

/**
 * Cutters that trim claws round one stone: its seat below the girdle and, above, the round outline of its crown,
 * as a bur turned about the stone's axis leaves it; for other stones the stone's own form, `longer` at either end along
 * the row. Every part lies outside the stone by the seat's air.
 */
export function notchCutters(
  frame: Frame,
  stone: Stone,
  seat: Seat,
  bottom: number,
  segments: number,
  longer = 0,
): WeldedMesh[] {
  const { opening, air, bearingTop, bearingFoot } = seat;
  if (opening.kind === 'polygon') {
    const planes = stone.planes.map(({ n, d }) => ({ n, d: d + air + longer * Math.abs(n[0]) }));
    const form = facetedCutter(frame, planes, 2 * (girdleReach(opening) + longer));
    return [form, ...holePrism(frame, seat, bottom)];
  }
  const outline: [number, number][] = [
    ...holeOutline(seat, bottom),
    [radiusOf(seat.hole), bearingFoot],
    [opening.radius, bearingTop],
    ...crownOutline(stone).map(([rho, h]): [number, number] => [rho + air, h + air]),
    [0, stone.tableHeight + air],
  ];
  return [revolve(frame, runsThrough(outline), segments)];
}

/** Straight runs from point to point of an outline (ρ, h). */
export function runsThrough(outline: readonly (readonly [number, number])[]): TurnedProfile {
  return outline.slice(1).map(([rho, h], i) => straightRun(outline[i][0], outline[i][1], rho, h));
}

/** Outline (ρ, h) of a turned seat's hole from the axis at `bottom` up to where it goes straight on; none for a closed seat. */
export function holeOutline({ hole, azure }: Seat, bottom: number): [number, number][] {
  const radius = radiusOf(hole);
  if (radius === 0) return [];
  if (!azure || azure.from <= bottom)
    return [
      [0, bottom],
      [radius, bottom],
    ];
  const wide = radius + azure.slope * (azure.from - bottom);
  return [
    [0, bottom],
    [wide, bottom],
    [radius, azure.from],
  ];
}

/** Radius of a turned seat's cut at a height: of its hole, its bearing or its opening. */
export function cutRadiusAt({ opening, bearingTop, hole, bearingFoot }: Seat, h: number): number {
  const [wide, narrow] = [radiusOf(opening), radiusOf(hole)];
  if (h >= bearingTop) return wide;
  if (h <= bearingFoot) return narrow;
  return narrow + ((wide - narrow) * (h - bearingFoot)) / (bearingTop - bearingFoot);
}

export function radiusOf(hole: Girdle | undefined): number {
  return hole?.kind === 'round' ? hole.radius : 0;
}

/** The hole from below the bore up to the girdle plane, well inside the opening, and what widens it below. */
function holePrism(frame: Frame, { hole, azure }: Seat, bottom: number): WeldedMesh[] {
  if (hole?.kind !== 'polygon') return [];
  const planes: HalfSpace[] = [
    ...girdlePlanes(hole.corners),
    { n: [0, 0, 1], d: 0 },
    { n: [0, 0, -1], d: -bottom },
  ];
  const size = 2 * girdleReach(hole) - bottom;
  const prism = facetedCutter(frame, planes, size);
  if (!azure || azure.from <= bottom) return [prism];
  const { from, slope } = azure;
  const sides = girdlePlanes(hole.corners).map(({ n, d }): HalfSpace => {
    const long = Math.hypot(1, slope);
    return { n: [n[0] / long, n[1] / long, slope / long], d: (d + slope * from) / long };
  });
  const ends: HalfSpace[] = [
    { n: [0, 0, 1], d: from + INTO_HOLE_MM },
    { n: [0, 0, -1], d: -bottom },
  ];
  return [prism, facetedCutter(frame, [...sides, ...ends], 2 * size)];
}

/** How far the widening reaches up into the hole, where it is narrower than that. */
const INTO_HOLE_MM = 0.05;

/** The opening widened at 45° from the rim's height up. */
function rimFlare(
  frame: Frame,
  corners: readonly OutlinePoint[],
  rim: number,
  top: number,
  size: number,
): WeldedMesh {
  const planes = girdlePlanes(corners).map(({ n, d }): HalfSpace => {
    return { n: [n[0] * Math.SQRT1_2, n[1] * Math.SQRT1_2, -Math.SQRT1_2], d: (d - rim) * Math.SQRT1_2 };
  });
  const ends: HalfSpace[] = [
    { n: [0, 0, 1], d: top },
    { n: [0, 0, -1], d: RIM_MM - rim },
  ];
  return facetedCutter(frame, [...planes, ...ends], 2 * size);
}

/** A convex cutter given by half-spaces in a stone's frame, flat-shaded, in band coordinates. */
export function facetedCutter(frame: Frame, planes: HalfSpace[], size: number): WeldedMesh {
  const mesh = facetMesh(intersectHalfSpaces(planes, size), planes);
  const { positions, normals } = mesh;
  for (let i = 0; i < positions.length; i += 3) {
    positions.set(toBand(frame, [positions[i], positions[i + 1], positions[i + 2]]), i);
    normals.set(turnToBand(frame, [normals[i], normals[i + 1], normals[i + 2]]), i);
  }
  return mesh;
}
