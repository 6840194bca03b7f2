import type { Manifold } from 'manifold-3d';
import type { WholeRow } from './row-plan.ts';
import type { NativeSolids } from './solid-kernel.ts';

/** Seats nearer to each other than this are taken to meet, mm. */
const MEETING_MM = 0.001;

/**
 * Cutters of a row's seats, made one where neighbours run into each other. On the slope of a dome the side walls of
 * faceted seats lie almost in one plane: the corner of one stands as little as a ten-thousandth of a millimetre out of
 * the other's wall, and the edges below run into each other all but in line. The boolean then leaves faces folded onto
 * themselves, so that the metal would touch itself along an edge; they go here, before anything is cut.
 * @param longer by how much the seats are lengthened at either end along the row, mm
 */
export function joinedSeats(
  solids: NativeSolids,
  seats: Manifold[],
  row: WholeRow,
  longer: number,
): Manifold[] {
  return seatsMeet(row, longer) ? [solids.withoutFolds(solids.unite(seats))] : seats;
}

/** Every seat is wider than its stone by its air. */
function seatsMeet({ sets, places }: WholeRow, longer: number): boolean {
  const air = Math.max(...sets.map(({ seat }) => seat.air));
  return places.gapMm < 2 * (air + longer) + MEETING_MM;
}
