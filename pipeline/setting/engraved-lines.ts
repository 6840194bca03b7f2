import type { Lane } from '../band/lane.ts';
import { boreSurface } from '../band/outside.ts';
import { problem } from '../band/problem-words.ts';
import { type RowSide, rowSide, type ShapeDesign } from '../plan/design.ts';
import type { Result } from '../problem.ts';
import { cutOf, type Engraving, type Obstacle } from './engraving.ts';
import { planEngraving } from './engraving-plan.ts';
import {
  cornersOf,
  edgesOfBore,
  metalOf,
  seatFromAbove,
  seatFromBelow,
  seatFromBeside,
  sideOfLane,
} from './letter-obstacles.ts';
import { letterRun } from './letter-run.ts';
import type { WholeRow } from './row-plan.ts';
import type { SeamMarkPlans } from './seam-marks.ts';
import type { SolidKernel } from './solid-kernel.ts';

/** The line of letters in the bore. */
export function planInside(
  kernel: SolidKernel,
  design: ShapeDesign,
  inside: NonNullable<NonNullable<ShapeDesign['engraving']>['inside']>,
  lanes: Lane[],
  rows: WholeRow[],
): Result<Engraving> {
  return planEngraving(
    kernel,
    inside,
    {
      side: 'inside',
      surface: boreSurface(design),
      run: letterRun(design, inside),
      metalUnder: metalOf(design, lanes, 'inside'),
      obstacles: [edgesOfBore(design), ...rows.flatMap((row) => seatsBeside(row, 'bore', inside.depthMm))],
    },
    design.chordToleranceMm,
  );
}

/** What a row's seats leave for letters that are cut from a side. */
function seatsBeside(row: WholeRow, side: RowSide, depthMm: number): Obstacle[] {
  const own = rowSide(row.design);
  if (own === side) return [seatFromAbove(row)];
  return row.sets.map((set) => (own === 'face' ? seatFromBeside : seatFromBelow)(set, depthMm));
}

/** How far a letter's accents and tails reach from its line's middle, as a share of its capitals' height: common practice. */
const REACH = 0.8;

/** Depth that a line of letters takes out of the metal round a place of the other side, at its deepest, mm. */
function takenBy({ design, laid, reached }: Engraving): (theta: number, z: number) => number {
  const [from, to] = [-1, 1].map((end) => laid.turnAt((end * laid.lengthMm) / 2)).sort((a, b) => a - b);
  const depthMm = cutOf(design).coverMm + reached.mostMm;
  return (theta, z) => {
    const turn = Math.atan2(Math.sin(theta - laid.atRad), Math.cos(theta - laid.atRad));
    const round = [turn - 2 * Math.PI, turn, turn + 2 * Math.PI].some((t) => t >= from && t <= to);
    return round && Math.abs(z - laid.run.z(theta)) <= REACH * design.heightMm ? depthMm : 0;
  };
}

/**
 * The line of letters on the outside, on the lane that it names.
 * @param inside the line in the bore, which takes of the same metal; beneath an inlay it takes of the bed
 */
export function planOutside(
  kernel: SolidKernel,
  design: ShapeDesign,
  outside: NonNullable<NonNullable<ShapeDesign['engraving']>['outside']>,
  lanes: Lane[],
  rows: WholeRow[],
  marks: SeamMarkPlans,
  inside?: Engraving,
): Result<Engraving> {
  const lane = lanes.find(({ name }) => name === outside.lane);
  const path = 'engraving.outside';
  if (!lane) {
    const names = lanes.map(({ name }) => `'${name}'`).join(', ');
    const received = `'${outside.lane}'`;
    const advice = 'Name an existing lane.';
    return { problems: [problem('unknown-lane', `${path}.lane`, `one of ${names}`, received, advice)] };
  }
  if (lane.hammer || lane.texture) {
    const expected = 'a lane that is neither hammered nor textured';
    const received = `'${lane.name}', ${lane.hammer ? 'hammered' : lane.texture?.pattern}`;
    const advice = 'Choose another lane.';
    return { problems: [problem('engraving-on-hammer', `${path}.lane`, expected, received, advice)] };
  }
  const metal = metalOf(design, lanes, 'outside');
  const below = inside && !lane.inlaid ? takenBy(inside) : () => 0;
  return planEngraving(
    kernel,
    outside,
    {
      side: 'outside',
      surface: lane.outer,
      lane,
      run: letterRun(design, outside, lane),
      metalUnder: (theta, z) => metal(theta, z) - below(theta, z),
      obstacles: [
        ...[lane.low, lane.high].map((bound) => sideOfLane(lane, bound, marks)),
        cornersOf(lane),
        ...rows
          .filter((row) => row.lane.index === lane.index)
          .flatMap((row) => seatsBeside(row, 'outside', outside.depthMm)),
      ],
    },
    design.chordToleranceMm,
  );
}
