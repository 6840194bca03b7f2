import { edgewise, insideOut, type Lane, laneMiddle, offsetLane, surveyAngles } from '../band/lane.ts';
import { mm, problem } from '../band/problem-words.ts';
import { type RowDesign, sortsOf } from '../plan/design.ts';
import { isRefused, type Problem, type Result } from '../problem.ts';
import type { Collar } from './collar.ts';
import { type StoneCutter, stoneCutter } from './equal-places.ts';
import type { Flush } from './flush.ts';
import { type Holding, planHolding } from './holding.ts';
import { placeProblems, type SeatedStone } from './place.ts';
import { plainProblems } from './row-problem.ts';
import { placeStones } from './stone-places.ts';
import { type PlacedRow, placedRow, type StoneSet } from './stone-set.ts';

/** A row worked out but not yet cut: what its stones share. */
export interface HeldRow extends Omit<PlacedRow, 'sets' | 'members'>, Omit<Holding, 'flush' | 'collars'> {}

/** A whole row, with its stones and what is left round them. */
export interface WholeRow extends HeldRow {
  /** the equal stones of the row, each kind by itself, in the order in which kinds first appear */
  sets: RowPlan[];
  /** set and place within it of each of `places.stones` */
  members: { set: RowPlan; place: SeatedStone }[];
  /** what tells how it fits (`fitReport`) */
  origin: { placed: PlacedRow; holding: Holding; cutter: StoneCutter };
}

/** The stones of one size and sort of a row. */
export interface RowPlan extends StoneSet {
  /** of stones level with the metal */
  flush?: Flush;
  /** of stones raised over the band */
  collar?: Collar;
  whole: HeldRow;
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
export function planRow(given: RowDesign, index: number, lanes: Lane[], slot = 0): Result<WholeRow> {
  const path = `rows.${given.name}`;
  const found = lanes.find(({ name }) => name === given.lane);
  if (!found) {
    const names = lanes.map(({ name }) => `'${name}'`).join(', ');
    const received = `'${given.lane}'`;
    const advice = 'Name an existing lane.';
    return { problems: [problem('unknown-lane', `${path}.lane`, `one of ${names}`, received, advice)] };
  }
  const lane = offsetLane(seenFrom(given, found), given.offsetMm);
  const plain = [
    ...plainProblems(given, path),
    ...(given.face ? faceProblems(given, found, path) : offsetProblems(given, found, path)),
  ];
  if (plain.length > 0) return { problems: plain };
  const cutter = stoneCutter();
  const places = placeStones(given, lane, cutter, path);
  if (isRefused(places)) return places;
  const placed = placedRow(given, index, slot, lane, places);
  const badly = placed.sets.flatMap((set) =>
    placeProblems(set.design, path, lane, set.stone, set.seat, set.places),
  );
  const holding = planHolding(placed, path);
  if (isRefused(holding)) return { problems: [...badly, ...holding.problems] };
  if (badly.length > 0) return { problems: badly };
  return { ...wholeRow(placed, holding), origin: { placed, holding, cutter } };
}

/** The lane as its row's stones are set into it. */
function seenFrom({ inside, face }: RowDesign, lane: Lane): Lane {
  if (face) return edgewise(lane, SIDES[face]);
  return inside ? insideOut(lane) : lane;
}

const SIDES = { first: -1, second: 1 } as const;

/** Only the lane at an edge has a side face there, and of a stepped edge too little is left. */
function faceProblems({ face }: RowDesign, lane: Lane, path: string): Problem[] {
  const bound = face === 'second' ? lane.high : lane.low;
  if (bound.mate) {
    const expected = `the lane at the ${face} edge`;
    const advice = 'Name the lane whose side is seen there.';
    return [problem('face-not-of-lane', `${path}.lane`, expected, `'${lane.name}'`, advice)];
  }
  if (!bound.shoulder && bound.wall) return [];
  const expected = `a side face at the ${face} edge`;
  const received = bound.wall ? 'a stepped edge' : 'an edge that runs out to nothing';
  return [problem('face-not-flat', `${path}.side`, expected, received, 'Leave the edge plain on that side.')];
}

/** A row's line must run on its lane wherever stones may stand. */
function offsetProblems({ offsetMm, coverage }: RowDesign, lane: Lane, path: string): Problem[] {
  if (offsetMm === undefined) return [];
  const half = coverage.kind === 'arc' ? coverage.angleRad / 2 : Math.PI;
  const round = surveyAngles(lane).filter(
    (theta) => Math.abs(Math.atan2(Math.sin(theta), Math.cos(theta))) <= half,
  );
  const angles = coverage.kind === 'angles' ? coverage.anglesRad : round;
  const room = Math.min(...angles.map((theta) => lane.high.curve.z(theta) - laneMiddle(lane, theta).z));
  if (Math.abs(offsetMm) < room) return [];
  const expected = `less than ${mm(room)} from the middle of lane '${lane.name}' where it is narrowest`;
  return [
    problem('offset-off-lane', `${path}.offset`, expected, mm(offsetMm), 'Move the row back onto its lane.'),
  ];
}

/** Every set knows what its row's stones share. */
function wholeRow(
  { sets, members, ...row }: PlacedRow,
  { flush, collars, ...holding }: Holding,
): Omit<WholeRow, 'origin'> {
  const whole: HeldRow = { ...row, ...holding };
  const held = new Map(
    sets.map((set, i): [StoneSet, RowPlan] => [
      set,
      { ...set, ...(flush && { flush: flush[i] }), ...(collars && { collar: collars[i] }), whole },
    ]),
  );
  return {
    ...whole,
    sets: [...held.values()],
    members: members.map(({ set, place }) => ({ set: held.get(set)!, place })),
  };
}
