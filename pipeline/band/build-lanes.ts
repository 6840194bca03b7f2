import type { ShapeDesign } from '../plan/design.ts';
import { isRefused, ProblemError } from '../problem.ts';
import { lanesOrProblems } from './design-problems.ts';
import { type Lane, lanesOf } from './lane.ts';
import { laneAngles } from './lane-angles.ts';
import { linerBand } from './liner.ts';
import { type Strands, strandsOf } from './strand.ts';
import { strandMesh } from './strand-mesh.ts';
import { sweepLane } from './sweep.ts';
import type { WeldedMesh } from './welded-mesh.ts';

export interface BuiltLane {
  lane: Lane;
  mesh: WeldedMesh;
}

/** @throws ProblemError with everything that keeps the band from being a solid */
export function soundLanes(design: ShapeDesign): Lane[] {
  const lanes = lanesOrProblems(design);
  if (isRefused(lanes)) throw new ProblemError(lanes.problems);
  return lanes;
}

/**
 * Sweeps every lane of a design, before seats and claws. Each is a closed manifold by construction.
 * @param lanes as `soundLanes` gives them for this design, in whatever chords
 * @throws ProblemError with everything that keeps the band from being a solid
 */
export function buildLanes(design: ShapeDesign, lanes: Lane[] = soundLanes(design)): BuiltLane[] {
  const strands = strandsOf(design);
  if (strands) return buildWires(design, lanes, strands);
  const { angles, fineness } = laneAngles(design, lanes);
  return lanes.map((lane) => ({ lane, mesh: sweepLane(lane, angles, fineness) }));
}

function buildWires(design: ShapeDesign, lanes: Lane[], { curves, wireMm, repeats }: Strands): BuiltLane[] {
  const band = linerBand(design);
  const liner = band ? buildLanes(band, lanesOf(band)).map(({ mesh }) => mesh) : [];
  const wires = curves.map((curve) => strandMesh(curve, wireMm, repeats, design.chordToleranceMm));
  return [...liner, ...wires].map((mesh, k) => ({ lane: lanes[k], mesh }));
}
