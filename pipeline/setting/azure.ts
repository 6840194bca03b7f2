/**
 * Azured holes: they widen over their lower part down to the bore, so that light comes in under stones and a band is
 * lighter and can be cleaned (common practice). Neighbours keep metal between them, and the lane beside them.
 */
import type { Lane } from '../band/lane.ts';
import { wallBesideOutline } from './clearance.ts';
import { type Girdle, girdleExtent, grownGirdle, outsideGirdle } from './girdle.ts';
import type { SeatedStone } from './place.ts';
import type { Seat } from './seat.ts';
import { type Frame, type Stone, toStone } from './stone.ts';
import { along, distance } from './vec.ts';

/** Metal that stays between two azures at the bore and beside one within its lane, mm (common practice). */
const BRIDGE_MM = 0.25;
/** How much of the hole widens, from the bore up; above stays what carries the bearing. */
const WIDENED = 0.6;
/** Steepest widening: 20°, which a bur or a graver still cuts from within. */
const MOST_SLOPE = Math.tan((20 * Math.PI) / 180);
/** Less than this on each side no eye sees, mm. */
const LEAST_MM = 0.03;

/** A seat as far as its hole is asked for, with its stone and where it stands. */
interface Drilled {
  seat: Seat;
  stone: Stone;
  places: readonly SeatedStone[];
}

/**
 * Widens the holes of equal stones to `share` of the stone's width at the bore, or as far as there is room.
 * @param sets all sets of the row
 */
export function azured(set: Drilled, sets: readonly Drilled[], lane: Lane, share: number): Seat {
  const { seat, stone, places } = set;
  if (!seat.hole) return seat;
  const hole = seat.hole;
  const depth = Math.min(...places.map(({ bore }) => seat.bearingFoot - bore));
  const over = WIDENED * depth;
  const narrow = (girdle: Girdle) => Math.min(...girdleExtent(girdle));
  const room = places.map(({ frame, bore }) => {
    const beside = wallBesideOutline(lane, frame, bore, hole) - BRIDGE_MM;
    return Math.min(beside, ...bridges(set, { frame, bore }, sets).map((b) => (b - BRIDGE_MM) / 2));
  });
  const by = Math.min((share * narrow(stone.girdle) - narrow(hole)) / 2, ...room, MOST_SLOPE * over);
  if (!(by > LEAST_MM)) return seat;
  const lowest = Math.min(...places.map(({ bore }) => bore));
  return { ...seat, azure: { from: lowest + over, slope: by / over } };
}

/** Metal at the bore between the hole of one place and those near it, mm. */
function bridges(
  { seat: { hole } }: Drilled,
  { frame, bore }: { frame: Frame; bore: number },
  sets: readonly Drilled[],
): number[] {
  const middle = along(frame.origin, frame.axis, bore);
  return sets.flatMap(({ seat, places }) =>
    places.flatMap((other) => {
      if (other.frame === frame || !hole || !seat.hole) return [];
      const far = along(other.frame.origin, other.frame.axis, other.bore);
      const apart = distance(middle, far);
      if (apart > FAR_MM) return [];
      // what either hole takes of the line between their middles
      const [x, y] = toStone(frame, far);
      const [u, v] = toStone(other.frame, middle);
      return [outsideGirdle(hole, x, y) + outsideGirdle(seat.hole, u, v) - apart];
    }),
  );
}

/** Holes farther apart than this have nothing to do with each other. */
const FAR_MM = 8;

/** Outline of a hole at a height along the stone's axis below its bearing. */
export function holeAt({ hole, azure }: Seat, height: number): Girdle | undefined {
  const by = azure ? azure.slope * (azure.from - height) : 0;
  return hole && by > 0 ? grownGirdle(hole, by) : hole;
}
