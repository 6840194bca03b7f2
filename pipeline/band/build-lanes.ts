import type { ShapeDesign } from '../plan/design.ts';
import { isRefused, ProblemError } from '../problem.ts';
import { cornerAngles } from './corner-angles.ts';
import { lanesOrProblems } from './design-problems.ts';
import { flatJoints } from './flat-top.ts';
import type { Lane } from './lane.ts';
import { reliefStep } from './lane-relief.ts';
import { flatOutside } from './outline.ts';
import { midRadius } from './profile.ts';
import { strandsOf } from './strand.ts';
import { strandMesh } from './strand-mesh.ts';
import { sweepLane } from './sweep.ts';
import { finenessOf, sweepAngles, withAngles } from './sweep-angles.ts';
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
 * Sweeps every lane of a design, before seats and claws. Each is a closed manifold by construction, and all
 * use the same angles, so neighbours meet along one seam wall.
 * @param lanes as `soundLanes` gives them for this design, in whatever chords
 * @throws ProblemError with everything that keeps the band from being a solid
 */
export function buildLanes(design: ShapeDesign, lanes: Lane[] = soundLanes(design)): BuiltLane[] {
  const strands = strandsOf(design);
  if (strands) {
    const { curves, wireMm, repeats } = strands;
    return lanes.map((lane, k) => ({
      lane,
      mesh: strandMesh(curves[k], wireMm, repeats, design.chordToleranceMm),
    }));
  }
  const usual = finenessOf(design.chordToleranceMm);
  // chords take metal off outside and leave as much in the bore; flat facets take none off to make up for it
  const faceted = lanes.some(({ facets }) => facets);
  const fineness = faceted ? { ...usual, turnRound: 0.75 * usual.turnRound } : usual;
  const sides = [lanes[0].low.curve, ...lanes.map((lane) => lane.high.curve)];
  const widest = Math.max(...lanes.map((lane) => midRadius(lane.outer)));
  const finest = Math.min(...lanes.map(reliefStep));
  const flat = flatOutside(design);
  const curves = flat ? [...sides, flat.thickness] : sides;
  const joints = [...cornerAngles(lanes), ...(flat ? flatJoints(flat.top) : [])];
  const angles = withAngles(sweepAngles(curves, widest, fineness, finest), joints);
  return lanes.map((lane) => ({ lane, mesh: sweepLane(lane, angles, fineness) }));
}
