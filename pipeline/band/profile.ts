/**
 * A section's outer or inner curve at one θ, in (z, r): circular arcs and straight lines that follow each other along z
 * and touch, with one tangent where they meet.
 *
 * On every piece the z of the unit outward normal is linear in z, n(z) = nz0 + c (z − z0) with c the signed curvature:
 * the curve is a circle of radius 1/c, or for c = 0 a straight line, and r(z) follows from the chord's slope,
 * r0 − facing · (z − z0) · (n0 + n1) / (√(1 − n0²) + √(1 − n1²)), which is exact for both.
 */
export interface ProfilePiece {
  /** where it begins and ends, mm; the outermost pieces of a profile reach on without end */
  fromZ: number;
  toZ: number;
  /** a point of it, and the z of the outward normal there */
  z0: number;
  r0: number;
  nz0: number;
  /** 1/mm; 0 = straight, positive = metal bulging towards the open side */
  curvature: number;
  /** how the piece shifts, rigidly, as θ grows; mm/rad */
  driftZ: number;
  driftR: number;
}

export interface Profile {
  /** +1: metal lies below (outside of the band), −1: metal lies above (bore) */
  facing: 1 | -1;
  /** ordered by z */
  pieces: readonly ProfilePiece[];
}

/** A surface of the band: its profile at every θ. */
export type ProfileSurface = (theta: number) => Profile;

/** A profile of one arc or line, level at z = 0. */
export function levelArc(midR: number, curvature: number, facing: 1 | -1, driftR = 0): Profile {
  return {
    facing,
    pieces: [
      {
        fromZ: Number.NEGATIVE_INFINITY,
        toZ: Number.POSITIVE_INFINITY,
        z0: 0,
        r0: midR,
        nz0: 0,
        curvature,
        driftZ: 0,
        driftR,
      },
    ],
  };
}

/** Curvature of the circular arc of sagitta `sagittaMm` over the chord `widthMm`. */
export function curvatureOf(sagittaMm: number, widthMm: number): number {
  return (2 * sagittaMm) / ((widthMm * widthMm) / 4 + sagittaMm * sagittaMm);
}

/** The piece that z lies on. */
export function pieceAt({ pieces }: Profile, z: number): ProfilePiece {
  const last = pieces.length - 1;
  let i = 0;
  while (i < last && z >= pieces[i].toZ) i++;
  return pieces[i];
}

function normalZ(piece: ProfilePiece, z: number): number {
  return piece.nz0 + piece.curvature * (z - piece.z0);
}

function pieceRadius(piece: ProfilePiece, facing: 1 | -1, z: number): number {
  const n0 = piece.nz0;
  const n1 = normalZ(piece, z);
  return piece.r0 - (facing * (z - piece.z0) * (n0 + n1)) / (Math.sqrt(1 - n0 * n0) + Math.sqrt(1 - n1 * n1));
}

function pieceSlope(piece: ProfilePiece, facing: 1 | -1, z: number): number {
  const n = normalZ(piece, z);
  return (-facing * n) / Math.sqrt(1 - n * n);
}

export function radiusAt(profile: Profile, z: number): number {
  return pieceRadius(pieceAt(profile, z), profile.facing, z);
}

/** dr/dz */
export function slopeAt(profile: Profile, z: number): number {
  return pieceSlope(pieceAt(profile, z), profile.facing, z);
}

/** ∂r/∂θ at a z that stays, mm/rad; 0 but on a tapered band */
export function driftAt(profile: Profile, z: number): number {
  const piece = pieceAt(profile, z);
  return piece.driftR - pieceSlope(piece, profile.facing, z) * piece.driftZ;
}

/** Unit outward normal (nz, nr) of the curve at z, within the section. */
export function normalAt(profile: Profile, z: number): [number, number] {
  const sine = normalZ(pieceAt(profile, z), z);
  return [sine, profile.facing * Math.sqrt(1 - sine * sine)];
}

/** r at the crest at the top of the band, or where a surface is level: what it measures by and large. */
export function midRadius(surface: ProfileSurface): number {
  const { pieces } = surface(0);
  return pieces[(pieces.length - 1) >> 1].r0;
}

/** A circle within the metal that touches the profile. */
export interface Tangency {
  /** r of its centre */
  centreR: number;
  /** dr/dz of the curve its centre runs along, and how that curve shifts with θ */
  slope: number;
  driftZ: number;
  driftR: number;
  /** z where it touches */
  z: number;
  /** curvature of the profile there */
  curvature: number;
}

/** The circle of radius `depth` centred at `centreZ` that touches the profile from within: on the parallel curve. */
export function tangentCircle({ facing, pieces }: Profile, centreZ: number, depth: number): Tangency {
  let best = tangency(pieces[0], facing, centreZ, depth);
  if (pieces.length === 1) return best;
  let nearest = best.beside;
  for (let i = 1; i < pieces.length; i++) {
    const found = tangency(pieces[i], facing, centreZ, depth);
    // where several pieces are within reach, the circle rests on the one that stops it first
    const lower = found.beside === nearest && facing * (found.centreR - best.centreR) < 0;
    if (!(found.beside < nearest || lower)) continue;
    best = found;
    nearest = found.beside;
  }
  return best;
}

/** On one piece or its continuation; `beside`: how far past the ends of its parallel curve, mm. */
function tangency(
  piece: ProfilePiece,
  facing: 1 | -1,
  centreZ: number,
  depth: number,
): Tangency & { beside: number } {
  const track = depth === 0 ? piece : parallelPiece(piece, facing, depth);
  return {
    centreR: pieceRadius(track, facing, centreZ),
    slope: pieceSlope(track, facing, centreZ),
    driftZ: piece.driftZ,
    driftR: piece.driftR,
    z: centreZ + depth * normalZ(track, centreZ),
    curvature: piece.curvature,
    beside: Math.max(track.fromZ - centreZ, centreZ - track.toZ, 0),
  };
}

/** The curve `depth` inside the metal. */
function parallelPiece(piece: ProfilePiece, facing: 1 | -1, depth: number): ProfilePiece {
  const { fromZ, toZ, driftZ, driftR } = piece;
  return {
    nz0: piece.nz0,
    driftZ,
    driftR,
    fromZ: fromZ > Number.NEGATIVE_INFINITY ? fromZ - depth * normalZ(piece, fromZ) : fromZ,
    toZ: toZ < Number.POSITIVE_INFINITY ? toZ - depth * normalZ(piece, toZ) : toZ,
    z0: piece.z0 - depth * piece.nz0,
    r0: piece.r0 - facing * depth * Math.sqrt(1 - piece.nz0 * piece.nz0),
    curvature: piece.curvature / (1 - piece.curvature * depth),
  };
}

/** z of the point where a circle of radius `depth` centred at `centreZ` on the parallel curve touches the profile. */
export function tangentZ(profile: Profile, centreZ: number, depth: number): number {
  if (depth === 0) return centreZ;
  const { pieces } = profile;
  if (pieces.length > 1) return tangentCircle(profile, centreZ, depth).z;
  // z − depth · n(z) = centreZ with n linear in z
  const [{ z0, nz0, curvature }] = pieces;
  return (centreZ + depth * (nz0 - curvature * z0)) / (1 - curvature * depth);
}

/** The profile moved along z, by so much at one θ and by `slope` (mm/rad) more as θ grows. */
export function shifted({ facing, pieces }: Profile, by: number, slope: number): Profile {
  return { facing, pieces: pieces.map((piece) => moved(piece, by, slope, 0)) };
}

/** The profile moved towards the metal by `recessMm`, measured radially. */
export function lowered(profile: Profile, recessMm: number): Profile {
  if (recessMm === 0) return profile;
  const { facing, pieces } = profile;
  return { facing, pieces: pieces.map((piece) => moved(piece, 0, 0, -facing * recessMm)) };
}

/** Field by field, because it is asked for at every angle: to copy what is left of an object takes five times as long. */
function moved(piece: ProfilePiece, byZ: number, slope: number, byR: number): ProfilePiece {
  const { fromZ, toZ, z0, r0, nz0, curvature, driftZ, driftR } = piece;
  return {
    fromZ: fromZ + byZ,
    toZ: toZ + byZ,
    z0: z0 + byZ,
    r0: r0 + byR,
    nz0,
    curvature,
    driftZ: driftZ + slope,
    driftR,
  };
}
