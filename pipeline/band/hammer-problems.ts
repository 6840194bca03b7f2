import type { ShapeDesign } from '../plan/design.ts';
import type { Problem } from '../problem.ts';
import { narrowestOuter } from './hammer.ts';
import type { Lane } from './lane.ts';
import { outerEnd } from './lane-section.ts';
import { degrees, mm, pathOf, problem } from './problem-words.ts';

/** Marks may be this deep against the radius of a corner they are pressed into. */
const DEEPEST_OVER_CORNER = 0.3;
const LEAST_MARK_MM = 0.5;
const DEEPEST_MARK = 0.1;

/** Marks are shallow caps with metal round them, and stones need a smooth bed. */
export function hammerProblems(lane: Lane, design: ShapeDesign): Problem[] {
  const { hammer } = lane;
  if (!hammer) return [];
  const path = `${pathOf(lane)}.hammer`;
  const { facetMm, depthMm } = hammer;
  if (!(facetMm >= LEAST_MARK_MM && depthMm > 0 && depthMm <= facetMm * DEEPEST_MARK)) {
    const expected = `marks from ${mm(LEAST_MARK_MM)} wide and at most a tenth of that deep`;
    const received = `${facetMm} mm wide, ${depthMm} mm deep`;
    return [problem('hammer-size', path, expected, received, 'Planishing leaves shallow marks.')];
  }
  const found: Problem[] = [];
  const narrow = narrowestOuter(lane);
  if (narrow.width < facetMm / 2) {
    const expected = `at least half a mark, ${mm(facetMm / 2)}, between the softenings of lane '${lane.name}'`;
    const received = `${mm(narrow.width)} at θ = ${degrees(narrow.theta)}`;
    found.push(problem('hammer-too-coarse', path, expected, received, 'Use smaller marks or a wider lane.'));
  }
  const sharpest = sharpestCurvature(lane);
  if (sharpest * depthMm > DEEPEST_OVER_CORNER) {
    const expected = `corners on lane '${lane.name}' rounded by at least ${mm(depthMm / DEEPEST_OVER_CORNER)} for marks so deep`;
    const advice = 'Round the ridge or the chamfers more, use shallower marks, or hammer another lane.';
    found.push(problem('hammer-over-corner', path, expected, mm(1 / sharpest), advice));
  }
  const row = design.rows.find((r) => r.lane === lane.name);
  if (row) {
    const received = `row '${row.name}' on lane '${lane.name}'`;
    const advice = 'Seats and claws are measured from a smooth surface: hammer another lane.';
    found.push(problem('hammer-under-stones', path, 'a lane without stones', received, advice));
  }
  return found;
}

/** Greatest curvature of the outside of a lane at the top of the band, 1/mm. */
function sharpestCurvature({ outer, low, high }: Lane): number {
  const profile = outer(0);
  const [from, to] = [outerEnd(profile, low, 0), outerEnd(profile, high, 0)];
  return Math.max(...profile.pieces.flatMap((p) => (p.toZ > from && p.fromZ < to ? [p.curvature] : [])));
}
