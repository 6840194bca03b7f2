import type { Lane } from './lane.ts';
import { reliefField, reliefStep } from './lane-relief.ts';
import { laneSection } from './lane-section.ts';
import { midRadius, normalAt, radiusAt } from './profile.ts';
import { isSmoothJoint, type SectionPiece, type SectionPoint } from './section-piece.ts';
import type { SurfaceField } from './surface-field.ts';
import type { Fineness } from './sweep-angles.ts';
import type { WeldedMesh } from './welded-mesh.ts';

/** Longest triangle edge across the section, as a multiple of the edge round the band. */
const ASPECT = 2.5;
/** least segments on the softening of a lane, however small */
const FILLET_SEGMENTS = 6;
/** how much more than others softenings may turn from one column to the next: they are narrow, and mirror all but a dot */
const FILLET_TURN = 1.6;

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
  const columns = planColumns(sections, angles.length, lane, fineness);
  const field = reliefField(lane);
  const press = field && reliefPress(lane, field);
  const [positions, normals] = sweepVertices(sections, columns, angles, press);
  const same = emptyColumns(sections, columns);
  const indices = joinColumns(columns, angles.length, positions, same);
  const mesh = {
    positions: Float32Array.from(positions),
    normals: Float32Array.from(normals),
    indices,
    ...pairCreases(columns, angles.length, same),
  };
  return same ? withoutUnused(mesh) : mesh;
}

/** Of so many sections one is looked at to foretell how fine all are parted. */
const FORETOLD_BY = 16;

/**
 * How many triangles the sweep of a lane comes to, without making it: exactly for lanes whose sections are alike all
 * round, never more than it makes but where a piece of the section is empty somewhere.
 */
export function foretoldFaces(lane: Lane, angles: Float64Array, fineness: Fineness): number {
  const some = angles.filter((_, i) => i % FORETOLD_BY === 0);
  const sections = Array.from(some, (theta) => laneSection(lane, theta));
  const strips = planColumns(sections, angles.length, lane, fineness).filter(({ crease }) => !crease);
  return 2 * angles.length * strips.length;
}

/** Step of the differences that give a surface in relief its slopes, mm. */
const SLOPE_STEP = 1e-4;

/**
 * Presses relief into a point of the outer surface, along its normal within the section. The pressed surface is
 * parted by θ and the smooth one's z; its normal stands square to its differences by both.
 */
function reliefPress(lane: Lane, field: SurfaceField) {
  const pressed = (theta: number, z: number): [z: number, r: number] => {
    const profile = lane.outer(theta);
    const [nz, nr] = normalAt(profile, z);
    const height = field(theta, z);
    return [z + height * nz, radiusAt(profile, z) + height * nr];
  };
  return (p: SectionPoint, theta: number): SectionPoint => {
    const [z, r] = pressed(theta, p.z);
    const turn = SLOPE_STEP / p.r;
    const [before, after] = [pressed(theta - turn, p.z), pressed(theta + turn, p.z)];
    const [low, high] = [pressed(theta, p.z - SLOPE_STEP), pressed(theta, p.z + SLOPE_STEP)];
    const across = Math.hypot(high[0] - low[0], high[1] - low[1]);
    const nz = -(high[1] - low[1]) / across;
    const nr = (high[0] - low[0]) / across;
    const nt = -(nz * (after[0] - before[0]) + nr * (after[1] - before[1])) / (2 * turn * r);
    const size = Math.hypot(nz, nr, nt);
    return { z, r, nz: nz / size, nr: nr / size, nt: nt / size };
  };
}

/** @param count of all sections round the band, of which some may be given */
function planColumns(sections: SectionPiece[][], count: number, lane: Lane, fineness: Fineness): Column[] {
  const pieces = sections[0];
  const longest = ((2 * Math.PI * midRadius(lane.outer)) / count) * ASPECT;
  const outer = reliefStep(lane);
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
  const fillet = piece.kind === 'fillet';
  // softenings are too short to weigh, and turn so much that their chords are short anyway
  const chordMm = fillet ? fineness.chordMm / 4 : fineness.sectionChordMm;
  const turnStep = piece.turn / (fillet ? FILLET_TURN * fineness.turnAcross : fineness.turnAcross);
  const sagStep = Math.sqrt((piece.turn * piece.length) / (8 * chordMm));
  const least = fillet ? FILLET_SEGMENTS : 1;
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
      positions[at] = p.r * sin;
      positions[at + 1] = p.r * cos;
      positions[at + 2] = p.z;
      normals[at] = p.nr * sin + p.nt * cos;
      normals[at + 1] = p.nr * cos - p.nt * sin;
      normals[at + 2] = p.nz;
    });
    // both sides of a crease are one point to the last bit, and so is all of an empty piece
    columns.forEach(({ crease, piece }, j) => {
      const before = i * row + 3 * ((j + columns.length - 1) % columns.length);
      if (crease || section[piece].length === 0) positions.copyWithin(i * row + 3 * j, before, before + 3);
    });
  });
  return [positions, normals];
}

/**
 * For every vertex the one that it repeats, where a piece is empty: the vertex before it, on its side of the crease.
 * Undefined if no piece is empty anywhere.
 */
function emptyColumns(sections: SectionPiece[][], columns: Column[]): Uint32Array | undefined {
  if (sections.every((section) => section.every(({ length }) => length > 0))) return undefined;
  const width = columns.length;
  const same = Uint32Array.from({ length: sections.length * width }, (_, i) => i);
  sections.forEach((section, i) => {
    columns.forEach(({ piece, crease }, j) => {
      if (j > 0 && !crease && section[piece].length === 0) same[i * width + j] = same[i * width + j - 1];
    });
  });
  return same;
}

/** Drops vertices that no triangle has. */
function withoutUnused(mesh: WeldedMesh): WeldedMesh {
  const count = mesh.positions.length / 3;
  const place = new Int32Array(count).fill(-1);
  for (const i of mesh.indices) place[i] = 0;
  const kept: number[] = [];
  for (let i = 0; i < count; i++) if (place[i] === 0) place[i] = kept.push(i) - 1;
  const triples = (from: Float32Array) =>
    Float32Array.from({ length: 3 * kept.length }, (_, k) => from[3 * kept[Math.floor(k / 3)] + (k % 3)]);
  const pairs = Array.from(mesh.mergeFrom, (from, k) => [place[from], place[mesh.mergeTo[k]]]).filter(
    ([from, to]) => from >= 0 && to >= 0,
  );
  return {
    positions: triples(mesh.positions),
    normals: triples(mesh.normals),
    indices: mesh.indices.map((i) => place[i]),
    mergeFrom: Uint32Array.from(pairs, ([from]) => from),
    mergeTo: Uint32Array.from(pairs, ([, to]) => to),
  };
}

function joinColumns(
  columns: Column[],
  rows: number,
  positions: Float64Array,
  same?: Uint32Array,
): Uint32Array {
  const width = columns.length;
  const strips = columns.flatMap(({ crease }, k) => (crease ? [] : [(k + width - 1) % width]));
  const indices = new Uint32Array(6 * rows * strips.length);
  let at = 0;
  for (let i = 0; i < rows; i++) {
    const here = i * width;
    const next = ((i + 1) % rows) * width;
    for (const j of strips) {
      const k = j + 1 === width ? 0 : j + 1;
      let [a, b, c, d] = [here + j, next + j, next + k, here + k];
      if (same) [a, b, c, d] = [same[a], same[b], same[c], same[d]];
      const rising = takesRisingDiagonal(positions, a, b, c, d);
      indices[at++] = a;
      indices[at++] = b;
      indices[at++] = rising ? c : d;
      indices[at++] = rising ? a : b;
      indices[at++] = c;
      indices[at++] = d;
    }
  }
  return same ? Uint32Array.from(solidTriangles(indices)) : indices;
}

function solidTriangles(indices: Uint32Array): number[] {
  const kept: number[] = [];
  for (let t = 0; t < indices.length; t += 3) {
    const [a, b, c] = [indices[t], indices[t + 1], indices[t + 2]];
    if (a !== b && b !== c && c !== a) kept.push(a, b, c);
  }
  return kept;
}

/**
 * Quads are parted along the shorter diagonal. On walls both are alike; there the one that starts nearer the
 * finger is taken, or on a level floor the one nearer the first edge, whatever way the outline runs, so that lanes on
 * both sides agree.
 */
function takesRisingDiagonal(p: Float64Array, a: number, b: number, c: number, d: number): boolean {
  const ac = span(p, a, c);
  const bd = span(p, b, d);
  if (Math.abs(ac - bd) > 1e-9) return ac < bd;
  const rise = Math.hypot(p[3 * d], p[3 * d + 1]) - Math.hypot(p[3 * a], p[3 * a + 1]);
  return Math.abs(rise) > 1e-9 ? rise > 0 : p[3 * a + 2] <= p[3 * d + 2];
}

function pairCreases(
  columns: Column[],
  rows: number,
  same?: Uint32Array,
): { mergeFrom: Uint32Array; mergeTo: Uint32Array } {
  const width = columns.length;
  const from: number[] = [];
  const to: number[] = [];
  for (let i = 0; i < rows; i++) {
    columns.forEach((column, j) => {
      if (!column.crease) return;
      const before = i * width + ((j + width - 1) % width);
      from.push(i * width + j);
      to.push(same ? same[before] : before);
    });
  }
  return { mergeFrom: Uint32Array.from(from), mergeTo: Uint32Array.from(to) };
}

function span(p: Float64Array, a: number, b: number): number {
  const x = p[3 * a] - p[3 * b];
  const y = p[3 * a + 1] - p[3 * b + 1];
  const z = p[3 * a + 2] - p[3 * b + 2];
  return Math.sqrt(x * x + y * y + z * z);
}
