import type { Lane } from '../band/lane.ts';
import { type RowDesign, sortsOf } from '../plan/design.ts';
import { azured } from './azure.ts';
import type { StonePlace, StonePlaces } from './equal-places.ts';
import { isRaised, placeAt, type SeatedStone } from './place.ts';
import { type Seat, seatFor } from './seat.ts';
import type { Stone } from './stone.ts';

/** The stones of one size and sort of a row, each in its place. */
export interface StoneSet {
  index: number;
  /** index of the stone that they wear among those of the whole shape's rows */
  slot: number;
  /** the row's name, with the size where a row has several */
  name: string;
  /** the row's design with the size, cut and depth of these stones */
  design: RowDesign;
  lane: Lane;
  stone: Stone;
  seat: Seat;
  places: SeatedStone[];
}

/** A row whose stones have their places, before anything holds them. */
export interface PlacedRow {
  index: number;
  design: RowDesign;
  lane: Lane;
  places: StonePlaces;
  /** the equal stones of the row, each kind by itself, in the order in which kinds first appear */
  sets: StoneSet[];
  /** set and place within it of each of `places.stones` */
  members: { set: StoneSet; place: SeatedStone }[];
}

/**
 * Sorts a row's stones into sets: stones of one kind share stone, seat and everything else but the place.
 * @param slot index of the row's first stone in the dress
 */
export function placedRow(
  row: RowDesign,
  index: number,
  slot: number,
  lane: Lane,
  places: StonePlaces,
): PlacedRow {
  const known = new Map<string, StoneSet>();
  const members = places.stones.map((placed) => {
    const key = setKey(placed);
    const set = known.get(key) ?? emptySet(row, index, slot, lane, placed);
    known.set(key, set);
    const place = placeAt(placed.frame, lane, placed.stone, set.seat, isRaised(row));
    set.places.push(place);
    return { set, place };
  });
  const sets = [...known.values()];
  const share = row.azureShare;
  if (share !== undefined) {
    const seats = sets.map((set) => azured(set, sets, lane, share));
    for (const [i, set] of sets.entries()) set.seat = seats[i];
  }
  nameSets(sets, row, slot);
  return { index, design: row, lane, places, sets, members };
}

function emptySet(row: RowDesign, index: number, slot: number, lane: Lane, placed: StonePlace): StoneSet {
  const { sized, stone, depth } = placed;
  const { cut, diameterMm, lengthMm } = sized;
  const design = { ...row, cut, diameterMm, lengthMm, setDepthMm: depth };
  if (lengthMm === undefined) delete design.lengthMm;
  const seat = seatFor(stone, row.holeShare);
  return { index, slot: slot + sized.sort, name: row.name, design, lane, stone, seat, places: [] };
}

function nameSets(sets: StoneSet[], row: RowDesign, slot: number): void {
  if (sets.length < 2) return;
  const size = ({ diameterMm, lengthMm }: RowDesign) =>
    lengthMm === undefined ? diameterMm.toFixed(2) : `${lengthMm.toFixed(2)} by ${diameterMm.toFixed(2)}`;
  for (const set of sets) {
    const { name } = sortsOf(row)[set.slot - slot];
    const alone = sets.filter((other) => other.slot === set.slot).length === 1;
    set.name = alone ? name : `${name} ${size(set.design)}`;
  }
}

function setKey({ sized: { sort, diameterMm, lengthMm } }: StonePlace): string {
  return `${sort} ${diameterMm} ${lengthMm}`;
}
