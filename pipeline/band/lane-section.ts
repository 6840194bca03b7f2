import type { Shelf } from './inlay.ts';
import { type Lane, type LaneBound, wallFoot, wallTop } from './lane.ts';
import { normalAt, type ProfileArc, parallelArc, radiusAt, slopeAt, tangentZ } from './profile.ts';

/** A point of a lane's section at one θ; (nz, nr, nt) is the surface's unit outward normal along ẑ, r̂, θ̂. */
export interface SectionPoint {
  z: number;
  r: number;
  nz: number;
  nr: number;
  nt: number;
}

/** `floor`: the bottom of a channel in which an inlay lies */
export type PieceKind = 'bore' | 'fillet' | 'wall' | 'floor' | 'outer';

/** A smooth part of the section's outline, run through from u = 0 to 1 with the metal on the left. */
export interface SectionPiece {
  kind: PieceKind;
  /** mm */
  length: number;
  /** angle the normal turns through, rad */
  turn: number;
  at(u: number): SectionPoint;
}

/** The lower share of a seam wall, above the last floor, that both lanes divide alike: their triangles coincide. */
const SHARED_WALL = 0.9;

/**
 * The closed outline of a lane at θ as exact arcs and lines: bore (towards +z), high wall, outside (towards −z),
 * low wall; beneath an inlay that it carries, the end of the shelf and the floor before the wall. The number and order of pieces are the same at every θ. Normals are those of the swept surface, so
 * they contain the slope of the seam; they come from the gradient of the implicit form of each piece.
 */
export function laneSection(lane: Lane, theta: number): SectionPiece[] {
  const high = sideCut(lane, lane.high, theta);
  const low = sideCut(lane, lane.low, theta);
  return [
    arcPiece('bore', lane.bore, low.boreZ, high.boreZ),
    ...high.pieces,
    arcPiece('outer', lane.outer, high.outerZ, low.outerZ),
    ...low.pieces.map(reversed).reverse(),
  ];
}

/** Walls and fillets are tangent to what they meet; a wall straight into an arc is an edge. */
export function isSmoothJoint(before: SectionPiece, after: SectionPiece): boolean {
  if (before.kind === 'wall' && after.kind === 'wall') return true;
  return before.kind === 'fillet' || after.kind === 'fillet';
}

interface SideCut {
  /** z where the bore's arc ends at this side */
  boreZ: number;
  /** z where the outside's arc ends at this side */
  outerZ: number;
  /** bore fillet, end and floor of a shelf, wall, outer fillet; upwards */
  pieces: SectionPiece[];
}

function sideCut(lane: Lane, bound: LaneBound, theta: number): SideCut {
  const { side, outerSoften, mate, shelf, breaks } = bound;
  const z = bound.curve.z(theta);
  const slope = bound.curve.slope(theta);
  const foot = shelf
    ? shelfCut(lane, shelf, side, theta)
    : footCut(lane.bore, bound.boreSoften, side, z, slope);
  const pieces = [...foot.pieces];
  if (shelf) pieces.push(arcPiece('floor', shelf.floor, shelf.curve.z(theta), z));
  const top = wallTop(lane.outer, outerSoften, side, z);
  const levels = [shelf ? radiusAt(shelf.floor, z) : foot.r, ...breaks.map((arc) => radiusAt(arc, z))];
  if (mate) {
    const mateTop = wallTop(mate.outer, mate.outerSoften, side === 1 ? -1 : 1, z);
    const base = levels[levels.length - 1];
    levels.push(base + SHARED_WALL * (Math.min(top, mateTop) - base));
  }
  levels.push(top);
  pieces.push(...wallPieces(z, slope, side, levels, mate !== undefined));
  if (outerSoften > 0) pieces.push(filletPiece(lane.outer, outerSoften, side, z, slope));
  return { boreZ: foot.boreZ, outerZ: tangentZ(lane.outer, z - side * outerSoften, outerSoften), pieces };
}

/** Where the outline leaves the bore: the softening there, and r where the wall begins. */
function footCut(bore: ProfileArc, soften: number, side: 1 | -1, z: number, slope: number) {
  return {
    boreZ: tangentZ(bore, z - side * soften, soften),
    r: wallFoot(bore, soften, side, z),
    pieces: soften > 0 ? [reversed(filletPiece(bore, soften, side, z, slope))] : [],
  };
}

/** The end of a shelf: from the bore up to the floor, beyond the side that it belongs to. */
function shelfCut(lane: Lane, shelf: Shelf, side: 1 | -1, theta: number) {
  const z = shelf.curve.z(theta);
  const slope = shelf.curve.slope(theta);
  const foot = footCut(lane.bore, shelf.boreSoften, side, z, slope);
  const levels = [foot.r, ...[...shelf.breaks, shelf.floor].map((arc) => radiusAt(arc, z))];
  return { ...foot, pieces: [...foot.pieces, ...wallPieces(z, slope, side, levels, true)] };
}

/** A wall in parts. At a band's edge it may have no height at all, and then it is left out. */
function wallPieces(z: number, slope: number, side: 1 | -1, levels: number[], always: boolean) {
  return levels
    .slice(1)
    .flatMap((r, i) => (always || r - levels[i] > 1e-6 ? [wallPiece(z, slope, side, levels[i], r)] : []));
}

/** Part of a profile arc, in equal steps of arc length. It is a surface of revolution: nt = 0. */
function arcPiece(
  kind: 'bore' | 'floor' | 'outer',
  arc: ProfileArc,
  fromZ: number,
  toZ: number,
): SectionPiece {
  const c = arc.curvature;
  const fromA = Math.asin(c * fromZ);
  const turn = Math.asin(c * toZ) - fromA;
  const level = Math.abs(turn) < 1e-9;
  return {
    kind,
    length: level ? Math.abs(toZ - fromZ) : Math.abs(turn / c),
    turn: Math.abs(turn),
    at: (u) => {
      const z = level ? fromZ + u * (toZ - fromZ) : Math.sin(fromA + u * turn) / c;
      const [nz, nr] = normalAt(arc, z);
      return { z, r: radiusAt(arc, z), nz, nr, nt: 0 };
    },
  };
}

/** The wall z = z(θ): a ruled surface of radial lines. */
function wallPiece(z: number, slope: number, side: 1 | -1, fromR: number, toR: number): SectionPiece {
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
 * The true arc of radius s that touches the wall and the profile arc, run from the wall to the arc. Its centre
 * (zc, rc) lies s inside both; the swept surface is (z − zc(θ))² + (r − rc(θ))² = s².
 */
function filletPiece(arc: ProfileArc, s: number, side: 1 | -1, wallZ: number, slope: number): SectionPiece {
  const track = parallelArc(arc, s);
  const zc = wallZ - side * s;
  const rc = radiusAt(track, zc);
  const rcSlope = slopeAt(track, zc) * slope;
  const [tangentNz, tangentNr] = normalAt(arc, tangentZ(arc, zc, s));
  const turn = Math.atan2(arc.facing * tangentNr, side * tangentNz);
  return {
    kind: 'fillet',
    length: s * turn,
    turn,
    at: (u) => {
      const nz = side * Math.cos(u * turn);
      const nr = arc.facing * Math.sin(u * turn);
      const r = rc + s * nr;
      return unit({ z: zc + s * nz, r, nz, nr, nt: -(nz * slope + nr * rcSlope) / r });
    },
  };
}

function reversed(piece: SectionPiece): SectionPiece {
  return { ...piece, at: (u) => piece.at(1 - u) };
}

function unit(p: SectionPoint): SectionPoint {
  const length = Math.hypot(p.nz, p.nr, p.nt);
  p.nz /= length;
  p.nr /= length;
  p.nt /= length;
  return p;
}
