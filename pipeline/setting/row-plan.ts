import type { RowFit } from '../band/built-shape.ts';
import type { Lane } from '../band/lane.ts';
import { problem } from '../band/problem-words.ts';
import { type RowDesign, sortsOf } from '../catalogue/design.ts';
import type { Problem } from '../problem.ts';
import { type Channel, planChannel } from './channel.ts';
import { type Claw, planClaws } from './claw.ts';
import { type Flush, planFlush } from './flush.ts';
import { type GrainField, planGrain } from './grain.ts';
import { type Place, placeAt, placeProblems } from './place.ts';
import { fitReport } from './row-fit.ts';
import { plainProblems } from './row-problem.ts';
import { type Seat, seatFor } from './seat.ts';
import type { Stone } from './stone.ts';
import { placeStones, type StonePlace, type StonePlaces, stoneCutter } from './stone-places.ts';

/** A whole row worked out but not yet cut: what its stones share. */
export interface WholeRow {
  index: number;
  design: RowDesign;
  lane: Lane;
  places: StonePlaces;
  /** the equal stones of the row, each kind by itself, in the order in which kinds first appear */
  sets: RowPlan[];
  /** set and place within it of each of `places.stones` */
  members: { set: RowPlan; place: Place }[];
  claws: Claw[];
  /** of a row between two walls */
  channel?: Channel;
  /** of grain-set stones */
  grain?: GrainField;
  fit: RowFit;
}

/** The stones of one size and sort of a row. */
export interface RowPlan {
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
  places: Place[];
  /** of stones level with the metal */
  flush?: Flush;
  whole: WholeRow;
}

/** Where rows stand in the dress: each has as many stones as it has sorts. */
export function slotsOf(rows: readonly RowDesign[]): number[] {
  let next = 0;
  return rows.map((row) => {
    const slot = next;
    next += sortsOf(row).length;
    return slot;
  });
}

/**
 * Works out a row: stones, count, places, claws. Returns either the row or everything that forbids it.
 * @param slot index of its first stone in the dress
 */
export function planRow(given: RowDesign, index: number, lanes: Lane[], slot = 0): WholeRow | Problem[] {
  const path = `rows[${index}]`;
  const lane = lanes.find(({ name }) => name === given.lane);
  if (!lane) {
    const names = lanes.map(({ name }) => `'${name}'`).join(', ');
    return [
      problem('unknown-lane', `${path}.lane`, `one of ${names}`, `'${given.lane}'`, 'Name an existing lane.'),
    ];
  }
  const plain = plainProblems(given, path);
  if (plain.length > 0) return plain;
  const cutter = stoneCutter();
  const places = placeStones(given, lane, cutter, path);
  if (Array.isArray(places)) return places;
  const whole = {
    index,
    design: given,
    lane,
    places,
    sets: [],
    members: [],
    claws: [],
    fit: undefined as unknown as RowFit,
  } as WholeRow;
  sortIntoSets(whole, slot);
  const found = whole.sets.flatMap((set) =>
    placeProblems(set.design, path, lane, set.stone, set.seat, set.places),
  );
  found.push(...furnish(whole, path));
  if (found.length > 0) return found;
  whole.fit = fitReport(whole, cutter);
  return whole;
}

/** Stones of one kind share stone, seat and everything else but the place. */
function sortIntoSets(whole: WholeRow, slot: number): void {
  const { design: row, index, lane, places } = whole;
  const known = new Map<string, RowPlan>();
  for (const placed of places.stones) {
    const key = setKey(placed);
    let set = known.get(key);
    if (!set) {
      const { sized, stone, depth } = placed;
      const { cut, diameterMm, lengthMm } = sized;
      const design = { ...row, cut, diameterMm, lengthMm, setDepthMm: depth };
      if (lengthMm === undefined) delete design.lengthMm;
      const seat = seatFor(stone, row.holeShare);
      set = { index, slot: slot + sized.sort, name: row.name, design, lane, stone, seat, places: [], whole };
      known.set(key, set);
      whole.sets.push(set);
    }
    const place = placeAt(placed.frame, lane, placed.stone, set.seat);
    set.places.push(place);
    whole.members.push({ set, place });
  }
  if (whole.sets.length < 2) return;
  const size = ({ diameterMm, lengthMm }: RowDesign) =>
    lengthMm === undefined ? diameterMm.toFixed(2) : `${lengthMm.toFixed(2)} by ${diameterMm.toFixed(2)}`;
  for (const set of whole.sets) {
    const { name } = sortsOf(row)[set.slot - slot];
    const alone = whole.sets.filter((other) => other.slot === set.slot).length === 1;
    set.name = alone ? name : `${name} ${size(set.design)}`;
  }
}

function setKey({ sized: { sort, diameterMm, lengthMm } }: StonePlace): string {
  return `${sort} ${diameterMm} ${lengthMm}`;
}

/** Adds what holds the stones; returns what forbids it. */
function furnish(whole: WholeRow, path: string): Problem[] {
  const { design: row, lane, places, members, sets } = whole;
  const found: Problem[] = [];
  const claws = planClaws(row, path, lane, places);
  if (Array.isArray(claws)) whole.claws = claws;
  else found.push(...claws.problems);
  const between = members.map(({ set, place }) => ({ ...place, stone: set.stone, seat: set.seat }));
  const channel = planChannel(row, path, lane, between, places.closed);
  if (channel && 'problems' in channel) found.push(...channel.problems);
  else whole.channel = channel;
  for (const set of sets) {
    const flush = planFlush(set.design, path, lane, set.stone, set.seat, places.gapMm, set.places);
    if (flush && 'problems' in flush) found.push(...flush.problems);
    else set.flush = flush;
  }
  const grain = planGrain(row, path, lane, places);
  if (grain && 'problems' in grain) found.push(...grain.problems);
  else whole.grain = grain;
  return found;
}
