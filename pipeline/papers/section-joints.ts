import { type Lane, wallTop } from '../band/lane.ts';
import { boreSurface } from '../band/outside.ts';
import { radiusAt } from '../band/profile.ts';
import type { ShapeDesign } from '../plan/design.ts';

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
  const bore = boreSurface(design)(theta);
  return lanes.slice(0, -1).flatMap((before, i) => {
    const after = lanes[i + 1];
    const z = before.high.curve.z(theta);
    const top = Math.min(
      wallTop(before.outer(theta), before.high.outerSoften, 1, z),
      wallTop(after.outer(theta), after.low.outerSoften, -1, z),
    );
    const floors = [before, after].flatMap((lane) => (lane.inlaid ? [radiusAt(lane.bore(theta), z)] : []));
    const levels = [radiusAt(bore, z), ...floors.sort((a, b) => a - b), top];
    return levels.slice(1).flatMap((toR, k) => {
      const middle = (levels[k] + toR) / 2;
      const [a, b] = [before, after].map((lane) =>
        ownerAt(design, lane, radiusAt(lane.bore(theta), z), middle, lanes),
      );
      return a !== b && metalOf[a] === metalOf[b] ? [{ z, fromR: levels[k], toR, metal: metalOf[a] }] : [];
    });
  });
}

/** The lane whose metal stands at r in a lane's column: its own, or beneath an inlay that of its bed. */
function ownerAt(design: ShapeDesign, lane: Lane, floor: number, r: number, lanes: readonly Lane[]): number {
  const { inlay } = design.lanes[lane.index];
  if (!inlay || r > floor) return lane.index;
  return lanes.findIndex(({ name }) => name === inlay.bed);
}
