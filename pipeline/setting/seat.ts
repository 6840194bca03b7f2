import type { WeldedMesh } from '../band/welded-mesh.ts';
import { type ConvexSolid, facetMesh, intersectHalfSpaces } from './convex-solid.ts';
import { type Profile, revolve, straightRun } from './revolution.ts';
import { type Frame, type Stone, toBand, turnToBand } from './stone.ts';

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

/** The stone grown by the clearance on every facet: the cutter that notches the claws. */
export class StoneCutter {
  readonly #planes;
  readonly #solid: ConvexSolid;

  constructor(stone: Stone) {
    this.#planes = stone.planes.map(({ n, d }) => ({ n, d: d + STONE_CLEARANCE_MM }));
    this.#solid = intersectHalfSpaces(this.#planes, stone.solid.diameterMm);
  }

  at(frame: Frame): WeldedMesh {
    const corners = this.#solid.corners.map((corner) => toBand(frame, corner));
    const planes = this.#planes.map(({ n, d }) => ({ n: turnToBand(frame, n), d }));
    return facetMesh({ ...this.#solid, corners }, planes);
  }
}
