import { normalAt, type Profile, type ProfilePiece, pieceAt, radiusAt, tangentCircle } from './profile.ts';

/** A point of a lane's section at one θ; (nz, nr, nt) is the surface's unit outward normal along ẑ, r̂, θ̂. */
export interface SectionPoint {
  z: number;
  r: number;
  nz: number;
  nr: number;
  nt: number;
}

/** `floor`: the bottom of a channel in which an inlay lies */
export type PieceKind = 'bore' | 'fillet' | 'wall' | 'floor' | 'shoulder' | 'outer';

/** A smooth part of the section's outline, run through from u = 0 to 1 with the metal on the left. */
export interface SectionPiece {
  kind: PieceKind;
  /** mm; 0 for a piece that has no part in the outline at this θ: its ends are one point */
  length: number;
  /** angle the normal turns through, rad */
  turn: number;
  at(u: number): SectionPoint;
}

/** Walls and fillets are tangent to what they meet, and so are the parts of a profile; a wall straight into one is an edge. */
export function isSmoothJoint(before: SectionPiece, after: SectionPiece): boolean {
  return before.kind === after.kind || before.kind === 'fillet' || after.kind === 'fillet';
}

/** The parts of a profile between two z, in equal steps of arc length; empty where a part lies beyond them. */
export function profilePieces(
  kind: 'bore' | 'outer' | 'shoulder' | 'floor',
  profile: Profile,
  fromZ: number,
  toZ: number,
): SectionPiece[] {
  const within = (z: number) => Math.min(toZ, Math.max(fromZ, z));
  return profile.pieces.map((piece) => {
    const [from, to] = [within(piece.fromZ), within(piece.toZ)];
    return to - from < EMPTY_MM
      ? emptyPiece(kind, profile, from)
      : profilePiece(kind, profile, piece, from, to);
  });
}

/** Parts of an outline shorter than this are none, mm. */
const EMPTY_MM = 1e-6;

function emptyPiece(kind: PieceKind, profile: Profile, z: number): SectionPiece {
  return { kind, length: 0, turn: 0, at: () => profilePoint(profile, pieceAt(profile, z), z) };
}

function profilePiece(
  kind: PieceKind,
  profile: Profile,
  piece: ProfilePiece,
  fromZ: number,
  toZ: number,
): SectionPiece {
  const c = piece.curvature;
  const normal = (z: number) => piece.nz0 + c * (z - piece.z0);
  const fromA = Math.asin(normal(fromZ));
  const turn = Math.asin(normal(toZ)) - fromA;
  const level = Math.abs(turn) < 1e-9;
  return {
    kind,
    length: level ? (toZ - fromZ) / Math.cos(fromA) : Math.abs(turn / c),
    turn: Math.abs(turn),
    at: (u) => {
      const z = level ? fromZ + u * (toZ - fromZ) : piece.z0 + (Math.sin(fromA + u * turn) - piece.nz0) / c;
      return profilePoint(profile, piece, z);
    },
  };
}

/** A point of a profile with the normal of the surface that its piece sweeps, which shifts by its drift. */
function profilePoint({ facing }: Profile, piece: ProfilePiece, z: number): SectionPoint {
  // a profile of the one piece, so that a point on a joint takes this piece's side of it
  const own: Profile = { facing, pieces: [piece] };
  const [nz, nr] = normalAt(own, z);
  const r = radiusAt(own, z);
  const turning = nz * piece.driftZ + nr * piece.driftR;
  return turning === 0 ? { z, r, nz, nr, nt: 0 } : unit({ z, r, nz, nr, nt: -turning / r });
}

/** The wall z = z(θ): a ruled surface of radial lines. */
export function wallPiece(z: number, slope: number, side: 1 | -1, fromR: number, toR: number): SectionPiece {
  return {
    kind: 'wall',
    length: Math.abs(toR - fromR),
    turn: 0,
    at: (u) => {
      const r = fromR + u * (toR - fromR);
      return unit({ z, r, nz: side, nr: 0, nt: (-side * slope) / r });
    },
  };
}

/**
 * The true arc of radius s that touches the wall and the profile, run from the wall to the profile. Its centre
 * (zc, rc) lies s inside both; the swept surface is (z − zc(θ))² + (r − rc(θ))² = s².
 */
export function filletPiece(
  profile: Profile,
  s: number,
  side: 1 | -1,
  wallZ: number,
  slope: number,
): SectionPiece {
  const zc = wallZ - side * s;
  const touch = tangentCircle(profile, zc, s);
  const rc = touch.centreR;
  const rcSlope = touch.driftR + touch.slope * (slope - touch.driftZ);
  const tangentNz = (touch.z - zc) / s;
  const tangentNr = profile.facing * Math.sqrt(1 - tangentNz * tangentNz);
  const turn = Math.atan2(profile.facing * tangentNr, side * tangentNz);
  return {
    kind: 'fillet',
    length: s * turn,
    turn,
    at: (u) => {
      const nz = side * Math.cos(u * turn);
      const nr = profile.facing * Math.sin(u * turn);
      const r = rc + s * nr;
      return unit({ z: zc + s * nz, r, nz, nr, nt: -(nz * slope + nr * rcSlope) / r });
    },
  };
}

export function reversed(piece: SectionPiece): SectionPiece {
  // field by field, since it is asked at every angle: a spread takes V8 many times as long
  const { kind, length, turn } = piece;
  return { kind, length, turn, at: (u) => piece.at(1 - u) };
}

function unit(p: SectionPoint): SectionPoint {
  const length = Math.hypot(p.nz, p.nr, p.nt);
  p.nz /= length;
  p.nr /= length;
  p.nt /= length;
  return p;
}
/** The quarter circle between shoulder and riser, run from the shoulder; the metal is outside of it. */
export function hollowPiece(
  zc: number,
  zcSlope: number,
  rc: number,
  rcSlope: number,
  s: number,
  side: 1 | -1,
): SectionPiece {
  const turn = Math.PI / 2;
  return {
    kind: 'fillet',
    length: s * turn,
    turn,
    at: (u) => {
      const nz = side * Math.sin(u * turn);
      const nr = Math.cos(u * turn);
      const r = rc - s * nr;
      return unit({ z: zc - s * nz, r, nz, nr, nt: -(nz * zcSlope + nr * rcSlope) / r });
    },
  };
}
