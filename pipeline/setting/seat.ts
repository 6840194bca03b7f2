import type { WeldedMesh } from '../band/welded-mesh.ts';
import { type Profile, revolve, straightRun } from './revolution.ts';
import type { Frame, Stone } from './stone.ts';

/** What is cut out of the metal for one stone, as heights and radii about the stone's axis; mm. */
export interface Seat {
  /** radius of the opening, a little wider than the stone */
  openingRadius: number;
  /** the bearing's cone meets the opening here, below the girdle plane */
  bearingTop: number;
  /** radius of the through-hole; 0 for a closed seat */
  holeRadius: number;
  /** height where the hole meets the bearing, or the point of a closed seat */
  bearingFoot: number;
}

/** Least air between stone and metal, mm: no metal ever lies inside a stone. */
export const STONE_CLEARANCE_MM = 0.01;
/** Least air between stone and seat, square to the bearing, mm (common practice: a close fit of 0.02–0.05 mm). */
const SEAT_CLEARANCE_MM = 0.02;
/**
 * The lower halves of a brilliant stand out of the cone through its girdle and culet by 0.0099 of the radius,
 * measured square to the cone, so larger stones need a little more air.
 */
const PAVILION_BULGE = 0.01;

/** The seat of a stone, or one `grown` by some mm on the bearing and the opening. */
export function seatFor(stone: Stone, holeShare: number, grown = 0): Seat {
  const slope = stone.bearingSlope;
  const air = grown + Math.max(SEAT_CLEARANCE_MM, STONE_CLEARANCE_MM + PAVILION_BULGE * stone.radius);
  const drop = air * Math.hypot(1, slope);
  const openingRadius = stone.radius + air;
  const holeRadius = holeShare > 0 ? holeShare * stone.radius + grown : 0;
  const coneHeight = (rho: number) => -stone.halfGirdle - drop - (stone.radius - rho) * slope;
  return {
    openingRadius,
    bearingTop: coneHeight(openingRadius),
    holeRadius,
    bearingFoot: coneHeight(holeRadius),
  };
}

/**
 * Cutter from above the metal (`top`) down to the bearing and, with a through-hole, on to `bottom`.
 * Heights are along the stone's axis from its girdle plane.
 */
export function seatCutter(
  frame: Frame,
  seat: Seat,
  top: number,
  bottom: number,
  segments: number,
): WeldedMesh {
  const { openingRadius, bearingTop, holeRadius, bearingFoot } = seat;
  const opening: Profile = [
    straightRun(holeRadius, bearingFoot, openingRadius, bearingTop),
    straightRun(openingRadius, bearingTop, openingRadius, top),
    straightRun(openingRadius, top, 0, top),
  ];
  const hole: Profile = [
    straightRun(0, bottom, holeRadius, bottom),
    straightRun(holeRadius, bottom, holeRadius, bearingFoot),
  ];
  return revolve(frame, holeRadius > 0 ? [...hole, ...opening] : opening, segments);
}

/**
 * Cutter that trims claws round one stone: its seat below the girdle and, above, the round outline of its crown,
 * as a bur turned about the stone's axis leaves it. Every part lies outside the stone by the seat's air.
 */
export function notchCutter(
  frame: Frame,
  stone: Stone,
  seat: Seat,
  bottom: number,
  segments: number,
): WeldedMesh {
  const { openingRadius, bearingTop, holeRadius, bearingFoot } = seat;
  const air = openingRadius - stone.radius;
  const outline: [number, number][] = [
    ...(holeRadius > 0
      ? ([
          [0, bottom],
          [holeRadius, bottom],
        ] as [number, number][])
      : []),
    [holeRadius, bearingFoot],
    [openingRadius, bearingTop],
    ...crownOutline(stone).map(([rho, h]): [number, number] => [rho + air, h + air]),
    [0, stone.tableHeight + air],
  ];
  const runs = outline.slice(1).map(([rho, h], i) => straightRun(outline[i][0], outline[i][1], rho, h));
  return revolve(frame, runs, segments);
}

/**
 * Outline (ρ, h) of a crown turned about its axis, from the girdle's top to the table: the convex hull of its
 * corners. Along a straight edge ρ never exceeds what lies between the ends, so the hull holds the whole stone.
 */
function crownOutline(stone: Stone): [number, number][] {
  const p = stone.solid.mesh.positions;
  const corners: [number, number][] = [];
  for (let i = 0; i < p.length; i += 3) {
    if (p[i + 2] > stone.halfGirdle * 0.999) corners.push([Math.hypot(p[i], p[i + 1]), p[i + 2]]);
  }
  corners.sort((a, b) => b[0] - a[0] || a[1] - b[1]);
  const hull: [number, number][] = [];
  for (const corner of corners) {
    const last = hull.at(-1);
    if (last && Math.hypot(last[0] - corner[0], last[1] - corner[1]) < stone.radius * 1e-4) continue;
    while (hull.length > 1 && !bulges(hull[hull.length - 2], hull[hull.length - 1], corner)) hull.pop();
    hull.push(corner);
  }
  return hull;
}

/** Whether b stands out from the line a to c, on an outline that runs inwards and upwards. */
function bulges(a: [number, number], b: [number, number], c: [number, number]): boolean {
  return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) > 0;
}
