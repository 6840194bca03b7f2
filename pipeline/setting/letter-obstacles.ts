import { type Lane, type LaneBound, wholeBand } from '../band/lane.ts';
import { deepestRelief } from '../band/lane-relief.ts';
import { boreEnd } from '../band/lane-section.ts';
import { boreSurface } from '../band/outside.ts';
import { midRadius, tangentZ } from '../band/profile.ts';
import type { ShapeDesign } from '../plan/design.ts';
import { holeAt } from './azure.ts';
import { type CutPoint, type EngravedSide, type Obstacle, radialMetal } from './engraving.ts';
import { girdleReach, outsideGirdle } from './girdle.ts';
import { distances } from './milgrain.ts';
import type { RowPlan, WholeRow } from './row-plan.ts';
import { type SeamMarkPlans, taken } from './seam-marks.ts';
import { toStone } from './stone.ts';

/** Metal that stays beside letters, to a seam, an edge or another mark, mm. */
const BESIDE_MM = 0.05;
/** Metal that stays between letters and a seat or its hole, mm. */
const BESIDE_SEAT_MM = 0.15;
/** Closed seats leave at least this much over the letters' floor, mm. */
const OVER_FLOOR_MM = 0.1;
/** Curvature from which a part of the outside is a corner for letters, 1/mm. */
const SHARP = 1;

/** Rounded corners of the section, over which letters would be torn. */
export function cornersOf(lane: Lane): Obstacle {
  return ({ theta, z }) => {
    const overlaps = lane
      .outer(theta)
      .pieces.filter(({ curvature }) => curvature > SHARP)
      .map(({ fromZ, toZ }) => Math.min(z - fromZ, toZ - z) + BESIDE_MM);
    return { overlapMm: Math.max(Number.NEGATIVE_INFINITY, ...overlaps), what: 'the section’s corners' };
  };
}

/** A seam or edge of the lane, with its softening, groove and beads. */
export function sideOfLane(lane: Lane, bound: LaneBound, marks: SeamMarkPlans): Obstacle {
  const width = taken(lane, bound, marks);
  const { side, curve, mate } = bound;
  const what = mate
    ? `the seam on the ${side === 1 ? 'far' : 'near'} side of lane '${lane.name}'`
    : 'the band’s edge';
  return ({ theta, z }) => {
    // square to the seam the distance is shorter than along z
    const lean = Math.hypot(1, curve.slope(theta) / midRadius(lane.outer));
    return { overlapMm: (side * (z - curve.z(theta))) / lean + width + BESIDE_MM, what };
  };
}

/** The rounded edges of the bore; seams in it are crossed, as the parts are joined before they are engraved. */
export function edgesOfBore(design: ShapeDesign): Obstacle {
  const band = wholeBand(design);
  return ({ theta, z }) => {
    const overlaps = [band.low, band.high].map((bound) => {
      const { curve, boreSoften } = boreEnd(bound);
      const end = tangentZ(band.bore(theta), curve.z(theta) - bound.side * boreSoften, boreSoften);
      return bound.side * (z - end) + BESIDE_MM;
    });
    return { overlapMm: Math.max(...overlaps), what: 'the bore’s edges' };
  };
}

export function seatFromAbove(row: WholeRow): Obstacle {
  return ({ point }) => ({
    overlapMm: BESIDE_SEAT_MM - Math.min(...distances(row, point)),
    what: `the seats and claws of row '${row.design.name}'`,
  });
}

/** Through-holes of a row as they come out of the bore, and closed seats or blind holes that reach too near to it. */
export function seatFromBelow({ design, name, seat, places }: RowPlan, depthMm: number): Obstacle {
  const { floorMm } = design;
  const through = floorMm === undefined && seat.hole !== undefined;
  const reach = girdleReach(seat.opening);
  return ({ point }: CutPoint) => {
    let overlapMm = Number.NEGATIVE_INFINITY;
    for (const { frame, bore, culetAbove } of places) {
      const [x, y, h] = toStone(frame, point);
      if (Math.abs(h - bore) > 1.5) continue;
      const hole = through && holeAt(seat, bore);
      if (hole) overlapMm = Math.max(overlapMm, BESIDE_SEAT_MM - outsideGirdle(hole, x, y));
      else if (Math.hypot(x, y) < reach)
        overlapMm = Math.max(overlapMm, OVER_FLOOR_MM + depthMm - (floorMm ?? culetAbove));
    }
    return { overlapMm, what: `the ${through ? 'through-holes' : 'seats'} of row '${name}'` };
  };
}

/** Closed seats in a side face: letters over or under one leave metal between their floor and its wall. */
export function seatFromBeside({ name, seat, places }: RowPlan, depthMm: number): Obstacle {
  const reach = girdleReach(seat.opening);
  return ({ point }: CutPoint) => {
    let overlapMm = Number.NEGATIVE_INFINITY;
    for (const { frame, surface } of places) {
      const [x, y, h] = toStone(frame, point);
      if (Math.abs(h) > surface + 2 * reach || Math.hypot(x, y) > 4 * reach) continue;
      const within = Math.max(Math.abs(x) - reach, seat.bearingFoot - h) - BESIDE_SEAT_MM;
      const metal = Math.hypot(x, y) - reach - depthMm - OVER_FLOOR_MM;
      if (within < 0) overlapMm = Math.max(overlapMm, Math.min(-within, -metal));
    }
    return { overlapMm, what: `the seats of row '${name}' in the side face` };
  };
}

/** Radial metal at a place, less the deepest relief or the most that facets take. */
export function metalOf(
  design: ShapeDesign,
  lanes: Lane[],
  side: EngravedSide,
): (theta: number, z: number) => number {
  const bore = boreSurface(design);
  const marks = Math.max(
    ...lanes.map((lane) => {
      const { facets } = lane;
      return facets ? facets.depthMm + Math.tan(facets.slantRad) * design.widthMm : deepestRelief(lane);
    }),
  );
  return (theta, z) => radialMetal(lanes, side, bore, theta, z) - marks;
}
