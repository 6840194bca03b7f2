import { loweredArc, type ProfileArc } from './profile.ts';
import type { SeamCurve } from './seam.ts';

/**
 * An inlay ends on a floor above the bore; beneath it the metal of a neighbour, its bed, runs on as a shelf up to the
 * inlay's far side. Floor, walls and the shelf's end are those of the inlay's own section, so bed, inlay and the lane
 * beyond it fill the band without overlap and without a boolean.
 */
export interface Shelf {
  /** the channel's floor, metal beneath */
  floor: ProfileArc;
  /** where the shelf ends: the far seam of the inlay, or the edge of the band */
  curve: SeamCurve;
  /** softening towards the bore where the shelf ends at the edge of the band, mm */
  boreSoften: number;
  /** lower floors across the far seam, at which the shelf's end is divided */
  breaks: ProfileArc[];
}

/** Floor of a channel `depthMm` below the section's outer surface, metal beneath. */
export function floorArc(outer: ProfileArc, depthMm: number): ProfileArc {
  return loweredArc(outer, depthMm);
}

/** The same curve seen from the inlay that lies on it: metal above. */
export function underside({ midR, curvature }: ProfileArc): ProfileArc {
  return { midR, curvature: -curvature, facing: -1 };
}

/** Floors that a wall from `from` (the bore if undefined) to `to` (the outside if undefined) passes, upwards. */
export function breaksBetween(
  from: ProfileArc | undefined,
  to: ProfileArc | undefined,
  floors: readonly (ProfileArc | undefined)[],
): ProfileArc[] {
  const above = (a: ProfileArc, b: ProfileArc) => a.midR > b.midR + SAME_FLOOR_MM;
  return floors
    .flatMap((floor) => (floor && (!from || above(floor, from)) && (!to || above(to, floor)) ? [floor] : []))
    .sort((a, b) => a.midR - b.midR);
}

/** Floors nearer than this are one. All floors of a band are the same curve at different heights. */
const SAME_FLOOR_MM = 1e-6;
