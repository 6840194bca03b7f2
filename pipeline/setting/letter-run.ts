import { type Lane, laneMiddle } from '../band/lane.ts';
import { middleCurve } from '../band/outline.ts';
import { levelCurve, type SeamCurve, sumOf } from '../band/seam-curve.ts';
import { turningAngles } from '../band/taper.ts';
import type { ShapeDesign } from '../plan/design.ts';
import type { EngravingDesign } from '../plan/engraving-design.ts';

/**
 * z midway between the foot and the head of a line's capitals, all round: along the band's middle line, or along that of
 * the lane they stand on where the design says so.
 */
export function letterRun(design: ShapeDesign, letters: EngravingDesign, lane?: Lane): SeamCurve {
  const middle = middleCurve(design);
  const { atRad, centreMm, follow } = letters;
  const ownMiddle = lane ? laneMiddle(lane, atRad).z : middle.z(atRad);
  const z = centreMm === undefined ? ownMiddle : middle.z(atRad) + centreMm;
  const run = follow === 'lane' && lane ? middleOfLane(lane) : middle;
  return raised(run, z - run.z(atRad));
}

function raised(run: SeamCurve, by: number): SeamCurve {
  return sumOf(run, levelCurve(by), turningAngles);
}

function middleOfLane({ low: { curve: low }, high: { curve: high } }: Lane): SeamCurve {
  const sum = sumOf(low, high, turningAngles);
  return {
    z: (theta) => sum.z(theta) / 2,
    slope: (theta) => sum.slope(theta) / 2,
    bend: (theta) => sum.bend(theta) / 2,
    extremes: sum.extremes,
  };
}

/** Length of the steps in which a line that bends is followed, mm. */
const STEP_MM = 0.05;

/** How far round the band a place `s` mm along a line from its middle lies, rad from that middle; r is its radius. */
export function turnAlong(run: SeamCurve, atRad: number, r: number): (s: number) => number {
  if (run.extremes.length === 0) return (s) => s / r;
  const pace = (turn: number) => 1 / Math.hypot(r, run.slope(atRad + turn));
  const turns: Record<1 | -1, number[]> = { 1: [0], [-1]: [0] };
  return (s) => {
    const way = s < 0 ? -1 : 1;
    const known = turns[way];
    const steps = Math.abs(s) / STEP_MM;
    // Heun's rule: what it misses in a step is under a nanometre
    while (known.length <= steps + 1) {
      const from = known[known.length - 1];
      const first = way * STEP_MM * pace(from);
      known.push(from + (first + way * STEP_MM * pace(from + first)) / 2);
    }
    const i = Math.floor(steps);
    return known[i] + (steps - i) * (known[i + 1] - known[i]);
  };
}
