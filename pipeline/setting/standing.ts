import type { Lane } from '../band/lane.ts';
import type { RowDesign } from '../plan/design.ts';
import { CUTS, pointsAcross } from '../trade/cuts.ts';
import { rowFrame } from './row-curve.ts';
import type { Frame, Stone } from './stone.ts';
import { scale } from './vec.ts';

/**
 * Where a stone stands at θ, and which way round. One with a narrow end along the row turns it away from the top of the
 * band, one with it across the row towards the second edge; the other way where the row says so.
 */
export function standingFrame(
  { narrowEnd }: Pick<RowDesign, 'narrowEnd'>,
  lane: Lane,
  stone: Stone,
  depth: number,
  theta: number,
  across = 0,
): Frame {
  const frame = rowFrame(lane, depth, theta, across);
  const end = narrowEndOf(stone);
  if (!end) return frame;
  // a frame's y looks to the first edge
  const outwards = end.along ? (Math.sin(theta) < -1e-9 ? -1 : 1) : -1;
  const wanted = narrowEnd === 'inwards' ? -outwards : outwards;
  return end.way === wanted ? frame : { ...frame, x: scale(frame.x, -1), y: scale(frame.y, -1) };
}

/** The axis of its frame that a stone's narrow end looks along, and which way. */
function narrowEndOf({ solid: { cut, diameterMm, lengthMm = diameterMm } }: Stone) {
  const { pointed } = CUTS.get(cut)!;
  if (!pointed) return undefined;
  const along = !pointsAcross({ cut, diameterMm, lengthMm });
  // straight they look along +x or +y; a quarter turn brings y to −x
  return { along, way: pointed === 'across' && along ? -1 : 1 } as const;
}
