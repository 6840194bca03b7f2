import type { ShapeDesign } from '../plan/design.ts';
import { isUniform } from './outline.ts';
import { lowered, midRadius, type Profile, type ProfileSurface } from './profile.ts';
import type { SeamCurve } from './seam-curve.ts';

/**
 * An inlay ends on a floor above the bore; beneath it the metal of a neighbour, its bed, runs on as a shelf up to the
 * inlay's far side. Floor, walls and the shelf's end are those of the inlay's own section, so bed, inlay and the lane
 * beyond it fill the band without overlap and without a boolean.
 */
export interface InlayShelf {
  /** the channel's floor, metal beneath */
  floor: ProfileSurface;
  /** where the shelf ends: the far seam of the inlay, or the edge of the band */
  curve: SeamCurve;
  /** softening towards the bore where the shelf ends at the edge of the band, mm */
  boreSoften: number;
  /** lower floors across the far seam, at which the shelf's end is divided */
  breaks: ProfileSurface[];
}

/** The section's outside moved down by `depthMm` all round: the surface of a recess, or the floor of a channel. */
export function loweredSurface(
  design: ShapeDesign,
  outside: ProfileSurface,
  depthMm: number,
): ProfileSurface {
  if (depthMm === 0) return outside;
  if (!isUniform(design)) {
    let from = outside(0);
    let kept = lowered(from, depthMm);
    return (theta) => {
      const above = outside(theta);
      if (above !== from) [from, kept] = [above, lowered(above, depthMm)];
      return kept;
    };
  }
  const everywhere = lowered(outside(0), depthMm);
  return () => everywhere;
}

/** The same surface seen from the inlay that lies on it: metal above. */
export function underside(floor: ProfileSurface): ProfileSurface {
  const turned = new WeakMap<Profile, Profile>();
  return (theta) => {
    const profile = floor(theta);
    const known = turned.get(profile);
    if (known) return known;
    const made = turnedOver(profile);
    turned.set(profile, made);
    return made;
  };
}

/** Field by field, as all that is asked at every angle: V8 spreads objects that hold numbers many times as slowly. */
function turnedOver({ facing, pieces }: Profile): Profile {
  return {
    facing: facing === 1 ? -1 : 1,
    pieces: pieces.map(({ fromZ, toZ, z0, r0, nz0, curvature, driftZ, driftR }) => ({
      fromZ,
      toZ,
      z0,
      r0,
      nz0: -nz0,
      curvature: -curvature,
      driftZ,
      driftR,
    })),
  };
}

/** Floors that a wall from `from` (the bore if undefined) to `to` (the outside if undefined) passes, upwards. */
export function breaksBetween(
  from: ProfileSurface | undefined,
  to: ProfileSurface | undefined,
  floors: readonly (ProfileSurface | undefined)[],
): ProfileSurface[] {
  const above = (a: ProfileSurface, b: ProfileSurface) => midRadius(a) > midRadius(b) + SAME_FLOOR_MM;
  return floors
    .flatMap((floor) => (floor && (!from || above(floor, from)) && (!to || above(to, floor)) ? [floor] : []))
    .sort((a, b) => midRadius(a) - midRadius(b));
}

/** Floors nearer than this are one. All floors of a band are the same surface at different depths. */
const SAME_FLOOR_MM = 1e-6;
