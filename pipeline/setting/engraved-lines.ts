import type { Lane } from '../band/lane.ts';
import { boreSurface } from '../band/outside.ts';
import { problem } from '../band/problem-words.ts';
import type { ShapeDesign } from '../plan/design.ts';
import type { Result } from '../problem.ts';
import type { Engraving } from './engraving.ts';
import { planEngraving } from './engraving-plan.ts';
import {
  cornersOf,
  edgesOfBore,
  metalOf,
  seatFromAbove,
  seatFromBelow,
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
      obstacles: [
        edgesOfBore(design),
        ...rows.flatMap(({ sets }) => sets.map((set) => seatFromBelow(set, inside.depthMm))),
      ],
    },
    design.chordToleranceMm,
  );
}

/** The line of letters on the outside, on the lane that it names. */
export function planOutside(
  kernel: SolidKernel,
  design: ShapeDesign,
  outside: NonNullable<NonNullable<ShapeDesign['engraving']>['outside']>,
  lanes: Lane[],
  rows: WholeRow[],
  marks: SeamMarkPlans,
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
  return planEngraving(
    kernel,
    outside,
    {
      side: 'outside',
      surface: lane.outer,
      lane,
      run: letterRun(design, outside, lane),
      metalUnder: metalOf(design, lanes, 'outside'),
      obstacles: [
        ...[lane.low, lane.high].map((bound) => sideOfLane(lane, bound, marks)),
        cornersOf(lane),
        ...rows.filter((row) => row.lane.index === lane.index).map(seatFromAbove),
      ],
    },
    design.chordToleranceMm,
  );
}
