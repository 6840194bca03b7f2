import { lanesOrProblems } from '../../pipeline/band/design-problems.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import { isRefused, type Problem } from '../../pipeline/problem.ts';

/** A plain flat band with sharp edges; every test states what differs. */
export function bandDesign(change: Partial<ShapeDesign> = {}): ShapeDesign {
  return {
    circumferenceMm: 54,
    widthMm: 4,
    thicknessMm: 1.6,
    section: { name: 'flat', domeMm: 0, comfortMm: 0, edgeMm: 0, boreEdgeMm: 0 },
    seams: [],
    lanes: [{ name: 'all', recessMm: 0, softenMm: 0 }],
    rows: [],
    chordToleranceMm: 0.008,
    ...change,
  };
}

/** Two lanes parted by a wave, all edges softened, the second lane recessed. */
export function wavyDesign(change: Partial<ShapeDesign> = {}): ShapeDesign {
  return bandDesign({
    widthMm: 5,
    thicknessMm: 1.7,
    section: { name: 'court', domeMm: 0.3, comfortMm: 0.15, edgeMm: 0.25, boreEdgeMm: 0.2 },
    seams: [{ kind: 'wave', atMm: 0.3, amplitudeMm: 0.6, periods: 5, sharpness: 0.6, phaseRad: 0.4 }],
    lanes: [
      { name: 'rail', recessMm: 0, softenMm: 0.25 },
      { name: 'field', recessMm: 0.15, softenMm: 0.2 },
    ],
    ...change,
  });
}

/** What keeps a band, rows aside, from being a solid. */
export function bandProblems(design: ShapeDesign): Problem[] {
  const sound = lanesOrProblems(design);
  return isRefused(sound) ? sound.problems : [];
}
