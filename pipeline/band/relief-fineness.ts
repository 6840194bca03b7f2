import type { ShapeDesign } from '../plan/design.ts';
import type { Problem } from '../problem.ts';
import type { Lane } from './lane.ts';
import { laneAngles } from './lane-angles.ts';
import { reliefStep } from './lane-relief.ts';
import { mm, pathOf, problem } from './problem-words.ts';
import { foretoldFaces } from './sweep.ts';

/** More triangles of a band in relief than this are too much for pictures and models to carry. */
const MOST_FACES = 700_000;

/**
 * Relief whose detail asks for more triangles than a band may have. All lanes have their sections at the same angles, so
 * the lane with the finest relief is told of what the whole band comes to.
 * @param lanes of a band that is sound in all else
 */
export function finenessProblems(design: ShapeDesign, lanes: Lane[]): Problem[] {
  const textured = lanes.filter(({ texture }) => texture);
  if (textured.length === 0) return [];
  const finest = textured.reduce((a, b) => (reliefStep(b) < reliefStep(a) ? b : a));
  const { angles, fineness } = laneAngles(design, lanes);
  const faces = lanes.reduce((sum, lane) => sum + foretoldFaces(lane, angles, fineness), 0);
  return faces > MOST_FACES ? [tooFine(finest, faces)] : [];
}

function tooFine(lane: Lane, faces: number): Problem {
  const { sizeMm, motif, picture } = lane.texture!;
  const path = `${pathOf(lane)}.texture`;
  const carried = `so large a band, which ${MOST_FACES} triangles can show`;
  const drawn = picture ?? motif;
  if (drawn) {
    const [what, code] = picture ? ['picture', 'picture-too-fine'] : ['motif', 'motif-too-fine'];
    const received = `${faces} for one of ${mm(drawn.heightMm)}`;
    const advice = 'Make it higher, or the band narrower.';
    return problem(code, `${path}.height`, `a ${what} on ${carried}`, received, advice);
  }
  // edges are as long as the pattern is large, both ways
  const expected = `a pattern of at least ${mm(sizeMm * Math.sqrt(faces / MOST_FACES))} on ${carried}`;
  const received = `${mm(sizeMm)}, which asks for ${faces}`;
  return problem(
    'texture-too-fine',
    `${path}.size`,
    expected,
    received,
    'Use a coarser pattern, or a finish.',
  );
}
