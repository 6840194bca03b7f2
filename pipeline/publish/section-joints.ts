import { boreArc, type Lane, wallTop } from '../band/lane.ts';
import { radiusAt } from '../band/profile.ts';
import type { ShapeDesign } from '../catalogue/design.ts';

/** A part of a seam that is no joint: one metal on both sides, cast as one. */
export interface WithinMetal {
  z: number;
  fromR: number;
  toR: number;
  /** index of the metal */
  metal: number;
}

/**
 * Where, at θ, lanes of one metal meet: on both sides of an inlay's floor, or side by side under different finishes.
 * @param metalOf index of each lane's metal
 */
export function withinMetal(
  design: ShapeDesign,
  lanes: readonly Lane[],
  metalOf: readonly number[],
  theta: number,
): WithinMetal[] {
  const bore = boreArc(design);
  return lanes.slice(0, -1).flatMap((before, i) => {
    const after = lanes[i + 1];
    const z = before.high.curve.z(theta);
    const top = Math.min(
      wallTop(before.outer, before.high.outerSoften, 1, z),
      wallTop(after.outer, after.low.outerSoften, -1, z),
    );
    const floors = [before, after].flatMap((lane) => (lane.inlaid ? [radiusAt(lane.bore, z)] : []));
    const levels = [radiusAt(bore, z), ...floors.sort((a, b) => a - b), top];
    return levels.slice(1).flatMap((toR, k) => {
      const middle = (levels[k] + toR) / 2;
      const [a, b] = [before, after].map((lane) => ownerAt(design, lanes, lane, z, middle));
      return a !== b && metalOf[a] === metalOf[b] ? [{ z, fromR: levels[k], toR, metal: metalOf[a] }] : [];
    });
  });
}

/** The lane whose metal stands at r in a lane's column: its own, or beneath an inlay that of its bed. */
function ownerAt(design: ShapeDesign, lanes: readonly Lane[], lane: Lane, z: number, r: number): number {
  const { inlay } = design.lanes[lane.index];
  if (!inlay || r > radiusAt(lane.bore, z)) return lane.index;
  return lanes.findIndex(({ name }) => name === inlay.bed);
}
