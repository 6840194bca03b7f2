import type { InlayShelf } from './inlay.ts';
import { type Lane, type LaneBound, type Shoulder, wallFoot, wallTop } from './lane.ts';
import { driftAt, levelArc, type Profile, radiusAt, slopeAt, tangentZ } from './profile.ts';
import type { SeamCurve } from './seam-curve.ts';
import {
  filletPiece,
  hollowPiece,
  profilePieces,
  reversed,
  type SectionPiece,
  wallPiece,
} from './section-piece.ts';

/** The lower share of a seam wall, above the last floor, that both lanes divide alike: their triangles coincide. */
const SHARED_WALL = 0.9;

/**
 * The closed outline of a lane at θ as exact arcs and lines: bore (towards +z), high wall, outside (towards −z),
 * low wall; beneath an inlay that it carries, the end of the shelf and the floor before the wall. The number and order of
 * pieces are the same at every θ; where a seam runs over a corner of the section, the pieces beyond it are empty. Normals
 * are those of the swept surface, so they contain the slope of seams and taper; they come from the gradient of the
 * implicit form of each piece.
 */
export function laneSection(lane: Lane, theta: number): SectionPiece[] {
  const outer = lane.outer(theta);
  const bore = lane.bore(theta);
  const high = sideCut(lane.high, outer, bore, theta);
  const low = sideCut(lane.low, outer, bore, theta);
  return [
    ...profilePieces('bore', bore, low.boreZ, high.boreZ),
    ...high.pieces,
    ...profilePieces('outer', outer, low.outerZ, high.outerZ).map(reversed).reverse(),
    ...low.pieces.map(reversed).reverse(),
  ];
}

/** z where the outside of a lane ends on one of its sides: at the wall, or where the softening begins. */
export function outerEnd(outer: Profile, { curve, side, outerSoften }: LaneBound, theta: number): number {
  return tangentZ(outer, curve.z(theta) - side * outerSoften, outerSoften);
}

interface SideCut {
  /** z where the bore's arc ends at this side */
  boreZ: number;
  /** z where the outside's arc ends at this side */
  outerZ: number;
  /** bore fillet, end and floor of a shelf, wall, outer fillet; upwards */
  pieces: SectionPiece[];
}

function sideCut(bound: LaneBound, outer: Profile, bore: Profile, theta: number): SideCut {
  const { side, outerSoften, curve, shoulder, shelf, mate, breaks } = bound;
  const z = curve.z(theta);
  const slope = curve.slope(theta);
  const top = wallTop(outer, outerSoften, side, z);
  const foot = footCut(bound, bore, theta);
  const pieces = [...foot.pieces];
  if (shoulder) {
    pieces.push(...steppedPieces(bound, shoulder, outer, foot.r, theta));
  } else if (bound.wall) {
    if (shelf) pieces.push(...shelfPieces(shelf, side, foot.r, z, theta));
    const levels = [shelf ? radiusAt(shelf.floor(theta), z) : foot.r];
    levels.push(...breaks.map((floor) => radiusAt(floor(theta), z)));
    if (mate) {
      const mateTop = wallTop(mate.outer(theta), mate.outerSoften, side === 1 ? -1 : 1, z);
      const base = levels[levels.length - 1];
      levels.push(base + SHARED_WALL * (Math.min(top, mateTop) - base));
    }
    pieces.push(...wallPieces(z, slope, side, [...levels, top]));
  }
  if (outerSoften > 0) pieces.push(filletPiece(outer, outerSoften, side, z, slope));
  return { boreZ: foot.boreZ, outerZ: outerEnd(outer, bound, theta), pieces };
}

/** Where the outline leaves the bore: at the wall, the end of a shelf, or the edge of a shoulder. */
export function boreEnd({ curve, boreSoften, shoulder, shelf }: LaneBound): {
  curve: SeamCurve;
  boreSoften: number;
} {
  return shelf ?? { curve: shoulder?.edge ?? curve, boreSoften };
}

/** The softening at the bore, and r where the wall above it begins. */
function footCut(bound: LaneBound, bore: Profile, theta: number) {
  const { side } = bound;
  const { curve, boreSoften } = boreEnd(bound);
  const z = curve.z(theta);
  return {
    boreZ: tangentZ(bore, z - side * boreSoften, boreSoften),
    r: wallFoot(bore, boreSoften, side, z),
    pieces: boreSoften > 0 ? [reversed(filletPiece(bore, boreSoften, side, z, curve.slope(theta)))] : [],
  };
}

/** A shelf beyond the side that it belongs to: its end, and the floor above it back to the wall at `wallZ`. */
function shelfPieces(
  shelf: InlayShelf,
  side: 1 | -1,
  foot: number,
  wallZ: number,
  theta: number,
): SectionPiece[] {
  const z = shelf.curve.z(theta);
  const floor = shelf.floor(theta);
  const levels = [foot, ...shelf.breaks.map((lower) => radiusAt(lower(theta), z)), radiusAt(floor, z)];
  const level = profilePieces('floor', floor, Math.min(z, wallZ), Math.max(z, wallZ));
  return [
    ...wallPieces(z, shelf.curve.slope(theta), side, levels),
    ...(side === 1 ? level.map(reversed).reverse() : level),
  ];
}

/** A wall in parts, upwards. */
function wallPieces(z: number, slope: number, side: 1 | -1, levels: number[]): SectionPiece[] {
  return levels.slice(1).map((r, i) => wallPiece(z, slope, side, levels[i], r));
}

/** The level shoulder of a stepped edge at θ, as a profile of its own. */
export function shoulderProfile(
  bound: LaneBound,
  { depthMm }: Shoulder,
  outer: Profile,
  theta: number,
): Profile {
  const z = bound.curve.z(theta);
  const rise = driftAt(outer, z) + slopeAt(outer, z) * bound.curve.slope(theta);
  return levelArc(radiusAt(outer, z) - depthMm, 0, 1, rise);
}

/** Upwards and inwards over a stepped edge: wall, softening, shoulder, hollow, riser. */
function steppedPieces(
  bound: LaneBound,
  shoulder: Shoulder,
  outer: Profile,
  foot: number,
  theta: number,
): SectionPiece[] {
  const { side, curve, outerSoften } = bound;
  const { edge, edgeSoften, footMm } = shoulder;
  const level = shoulderProfile(bound, shoulder, outer, theta);
  const [{ r0, driftR }] = level.pieces;
  const edgeZ = edge.z(theta);
  const riserZ = curve.z(theta);
  const slope = curve.slope(theta);
  const pieces = [wallPiece(edgeZ, edge.slope(theta), side, foot, wallTop(level, edgeSoften, side, edgeZ))];
  if (edgeSoften > 0) pieces.push(filletPiece(level, edgeSoften, side, edgeZ, edge.slope(theta)));
  const [from, to] = [edgeZ - side * edgeSoften, riserZ + side * footMm];
  const flat = profilePieces('shoulder', level, Math.min(from, to), Math.max(from, to));
  pieces.push(...(side === 1 ? flat.map(reversed) : flat));
  if (footMm > 0) pieces.push(hollowPiece(riserZ + side * footMm, slope, r0 + footMm, driftR, footMm, side));
  const top = wallTop(outer, outerSoften, side, riserZ);
  pieces.push(wallPiece(riserZ, slope, side, r0 + footMm, top));
  return pieces;
}
