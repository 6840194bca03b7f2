import type { ShapeDesign } from '../plan/design.ts';
import { cornerAngles } from './corner-angles.ts';
import { flatJoints } from './flat-top.ts';
import type { Lane } from './lane.ts';
import { reliefStep } from './lane-relief.ts';
import { flatOutside } from './outline.ts';
import { midRadius } from './profile.ts';
import { type Fineness, finenessOf, sweepAngles, withAngles } from './sweep-angles.ts';

/** Where all lanes of a band have their sections, so that neighbours meet along one seam wall, and how fine those are. */
export function laneAngles(design: ShapeDesign, lanes: Lane[]): { angles: Float64Array; fineness: Fineness } {
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
  return { angles: withAngles(sweepAngles(curves, widest, fineness, finest), joints), fineness };
}
