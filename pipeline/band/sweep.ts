import { type HammerField, hammerField, hammerStep } from './hammer.ts';
import type { Lane } from './lane.ts';
import { isSmoothJoint, laneSection, type SectionPiece, type SectionPoint } from './lane-section.ts';
import type { Fineness } from './sweep-angles.ts';
import type { WeldedMesh } from './welded-mesh.ts';

/** Longest triangle edge across the section, as a multiple of the edge round the band. */
const ASPECT = 2.5;
/** least segments on the softening of a lane, however small */
const FILLET_SEGMENTS = 6;

/** Which piece and parameter each column of vertices stands for; the same at every angle. */
interface Column {
  piece: number;
  u: number;
  /** this column and the one before are two sides of a crease: one place, two normals */
  crease: boolean;
}

/**
 * Sweeps a lane's section over the given angles into a closed mesh with the surface's own normals.
 * Vertices are shared across smooth joints and doubled (and paired in the merge vectors) along creases.
 */
export function sweepLane(lane: Lane, angles: Float64Array, fineness: Fineness): WeldedMesh {
  const sections = Array.from(angles, (theta) => laneSection(lane, theta));
  const columns = planColumns(sections, lane, fineness);
  const press = lane.hammer && hammerPress(lane, hammerField(lane, lane.hammer));
  const [positions, normals] = sweepVertices(sections, columns, angles, press);
  const indices = joinColumns(columns, angles.length, positions);
  return {
    positions: Float32Array.from(positions),
    normals: Float32Array.from(normals),
    indices,
    ...pairCreases(columns, angles.length),
  };
}

/** Step of the differences that give a hammered surface its slopes, mm. */
const SLOPE_STEP = 1e-4;

/**
 * Presses hammer marks into a point of the outer surface. It is a surface of revolution, whose principal directions
 * run round the band and across it, so the normal of the surface moved by h along its normal n is that of
 * n − ∇h with each component divided by 1 + h·κ, κ the curvature in that direction.
 */
function hammerPress(lane: Lane, field: HammerField) {
  return (p: SectionPoint, theta: number): SectionPoint => {
    const height = field(theta, p.z);
    const turn = SLOPE_STEP / p.r;
    const round = (field(theta + turn, p.z) - field(theta - turn, p.z)) / (2 * SLOPE_STEP);
    const along = (field(theta, p.z + SLOPE_STEP) - field(theta, p.z - SLOPE_STEP)) / (2 * SLOPE_STEP);
    // across the band z grows by n_r to the millimetre
    const across = (along * p.nr) / (1 + height * lane.outer.curvature);
    const nz = p.nz - across * p.nr;
    const nr = p.nr + across * p.nz;
    const nt = -round / (1 + (height * p.nr) / p.r);
    const size = Math.hypot(nz, nr, nt);
    return {
      z: p.z + height * p.nz,
      r: p.r + height * p.nr,
      nz: nz / size,
      nr: nr / size,
      nt: nt / size,
    };
  };
}

function planColumns(sections: SectionPiece[][], lane: Lane, fineness: Fineness): Column[] {
  const pieces = sections[0];
  const longest = ((2 * Math.PI * lane.outer.midR) / sections.length) * ASPECT;
  const outer = lane.hammer ? hammerStep(lane.hammer) : longest;
  const columns: Column[] = [];
  pieces.forEach((piece, index) => {
    let segments = 1;
    const edge = piece.kind === 'outer' ? Math.min(longest, outer) : longest;
    for (const section of sections) {
      segments = Math.max(segments, segmentsOf(section[index], edge, fineness));
    }
    const before = pieces[(index + pieces.length - 1) % pieces.length];
    const smooth = isSmoothJoint(before, piece);
    if (!smooth) columns.push({ piece: index, u: 0, crease: true });
    for (let k = 1; k <= segments; k++) columns.push({ piece: index, u: k / segments, crease: false });
  });
  return columns;
}

function segmentsOf(piece: SectionPiece, longest: number, fineness: Fineness): number {
  const turnStep = piece.turn / fineness.turnAcross;
  const sagStep = Math.sqrt((piece.turn * piece.length) / (8 * fineness.sectionChordMm));
  const least = piece.kind === 'fillet' ? FILLET_SEGMENTS : 1;
  return Math.max(least, Math.ceil(Math.max(turnStep, sagStep, piece.length / longest) - 1e-9));
}

function sweepVertices(
  sections: SectionPiece[][],
  columns: Column[],
  angles: Float64Array,
  press?: (p: SectionPoint, theta: number) => SectionPoint,
): [Float64Array, Float64Array] {
  const row = 3 * columns.length;
  const positions = new Float64Array(row * angles.length);
  const normals = new Float64Array(positions.length);
  sections.forEach((section, i) => {
    const sin = Math.sin(angles[i]);
    const cos = Math.cos(angles[i]);
    columns.forEach(({ piece, u }, j) => {
      const smooth = section[piece].at(u);
      const p = press && section[piece].kind === 'outer' ? press(smooth, angles[i]) : smooth;
      const at = i * row + 3 * j;
      positions.set([p.r * sin, p.r * cos, p.z], at);
      normals.set([p.nr * sin + p.nt * cos, p.nr * cos - p.nt * sin, p.nz], at);
    });
    // both sides of a crease are one point to the last bit
    columns.forEach(({ crease }, j) => {
      const before = i * row + 3 * ((j + columns.length - 1) % columns.length);
      if (crease) positions.copyWithin(i * row + 3 * j, before, before + 3);
    });
  });
  return [positions, normals];
}

function joinColumns(columns: Column[], rows: number, positions: Float64Array): Uint32Array {
  const width = columns.length;
  const indices: number[] = [];
  for (let i = 0; i < rows; i++) {
    const here = i * width;
    const next = ((i + 1) % rows) * width;
    for (let j = 0; j < width; j++) {
      const k = (j + 1) % width;
      if (columns[k].crease) continue;
      const a = here + j;
      const b = next + j;
      const c = next + k;
      const d = here + k;
      if (takesRisingDiagonal(positions, a, b, c, d)) indices.push(a, b, c, a, c, d);
      else indices.push(a, b, d, b, c, d);
    }
  }
  return Uint32Array.from(indices);
}

/**
 * Quads are parted along the shorter diagonal. On walls both are alike; there the one that starts nearer the
 * finger is taken, or on a level floor the one nearer the first edge, whatever way the outline runs, so that lanes on
 * both sides agree.
 */
function takesRisingDiagonal(p: Float64Array, a: number, b: number, c: number, d: number): boolean {
  const ac = Math.hypot(p[3 * a] - p[3 * c], p[3 * a + 1] - p[3 * c + 1], p[3 * a + 2] - p[3 * c + 2]);
  const bd = Math.hypot(p[3 * b] - p[3 * d], p[3 * b + 1] - p[3 * d + 1], p[3 * b + 2] - p[3 * d + 2]);
  if (Math.abs(ac - bd) > 1e-9) return ac < bd;
  const rise = Math.hypot(p[3 * d], p[3 * d + 1]) - Math.hypot(p[3 * a], p[3 * a + 1]);
  return Math.abs(rise) > 1e-9 ? rise > 0 : p[3 * a + 2] <= p[3 * d + 2];
}

function pairCreases(columns: Column[], rows: number): { mergeFrom: Uint32Array; mergeTo: Uint32Array } {
  const width = columns.length;
  const from: number[] = [];
  const to: number[] = [];
  for (let i = 0; i < rows; i++) {
    columns.forEach((column, j) => {
      if (!column.crease) return;
      from.push(i * width + j);
      to.push(i * width + ((j + width - 1) % width));
    });
  }
  return { mergeFrom: Uint32Array.from(from), mergeTo: Uint32Array.from(to) };
}
