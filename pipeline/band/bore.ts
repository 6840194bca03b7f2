import type { TriMesh } from './built-shape.ts';

/** Cosine to the direction inward from which a face counts as part of the bore: past it edges are rounded over. */
const INWARD = Math.SQRT1_2;

/**
 * Which triangles face the finger, one flag each. A bore is polished whatever the outside wears (`common practice`:
 * it is what slides over the knuckle), so that pictures and models finish these apart.
 */
export function boreTriangles({ positions, normals, indices }: TriMesh): Uint8Array {
  const flags = new Uint8Array(indices.length / 3);
  for (let t = 0; t < flags.length; t++) {
    let inward = 0;
    for (let k = 0; k < 3; k++) {
      const v = 3 * indices[3 * t + k];
      const x = positions[v];
      const y = positions[v + 1];
      // not Math.hypot, which takes ten times as long
      const r = Math.sqrt(x * x + y * y);
      if (r > 0) inward -= (normals[v] * x + normals[v + 1] * y) / r;
    }
    if (inward > 3 * INWARD) flags[t] = 1;
  }
  return flags;
}

/** A line of letters in the bore: θ of its middle, length along the bore and depth. */
export interface BoreLetters {
  atDeg: number;
  lengthMm: number;
  depthMm: number;
  /** z of the band's middle line by even steps of θ from the top, mm; level if absent */
  middleMm?: readonly number[];
}

/** mm of the bore's width over which its radius is taken as one. */
const SLICE = 0.1;
/** How steep the bore may run there: its rounded edges, which no letters reach, are steeper. */
const STEEPEST = 0.3;

/**
 * Which triangles are floors and walls of letters cut into the bore, one flag each: those in the line's stretch that lie below
 * the bore as it is elsewhere at the same z, by a quarter of the depth at least and no more than half as much again.
 */
export function letterTriangles(
  { positions, indices }: TriMesh,
  { atDeg, lengthMm, depthMm, middleMm }: BoreLetters,
): Uint8Array {
  const flags = new Uint8Array(indices.length / 3);
  const fromMiddle = middleMm ? straightened(middleMm) : ({ z }: Vertex) => z;
  const line = boreLine(positions, fromMiddle);
  const middle = (atDeg * Math.PI) / 180;
  for (let t = 0; t < flags.length; t++) {
    let [x, y, z] = [0, 0, 0];
    for (let k = 0; k < 3; k++) {
      const v = 3 * indices[3 * t + k];
      x += positions[v] / 3;
      y += positions[v + 1] / 3;
      z += positions[v + 2] / 3;
    }
    const r = Math.hypot(x, y);
    const turn = Math.atan2(x, y) - middle;
    const away = Math.abs(Math.atan2(Math.sin(turn), Math.cos(turn))) * r;
    if (away > lengthMm / 2 + SLICE) continue;
    const across = fromMiddle({ x, y, z });
    const i = line.findIndex(([to]) => to > across);
    if (i < 1) continue;
    const [[z0, r0], [z1, r1]] = [line[i - 1], line[i]];
    const slope = (r1 - r0) / (z1 - z0);
    const below = r - r0 - slope * (across - z0);
    if (Math.abs(slope) < STEEPEST && below > depthMm / 4 && below < 1.5 * depthMm) flags[t] = 1;
  }
  return flags;
}

/** A stone in its seat, as far as what lies below it is asked for; band coordinates, mm. */
export interface StoneAbove {
  /** middle of the girdle plane */
  origin: ArrayLike<number>;
  /** towards the table */
  axis: ArrayLike<number>;
  /** farthest that the girdle reaches from the axis */
  reach: number;
  /** from the girdle plane down to the culet */
  depth: number;
}

/** Walls of a hole stand nearly along the stone's axis, bearings lean: most of the cosine to it. */
const UPRIGHT = 0.4;
/** A hole begins below the girdle by this share of the pavilion: what is above it is the seat's opening. */
const BELOW_GIRDLE = 0.2;

/** Which triangles are walls of the holes below stones, one flag each. */
export function holeTriangles({ positions, indices }: TriMesh, stones: readonly StoneAbove[]): Uint8Array {
  const flags = new Uint8Array(indices.length / 3);
  if (stones.length === 0) return flags;
  const records = stoneRecords(stones);
  const middle = new Float64Array(3);
  const normal = new Float64Array(3);
  const p = positions;
  for (let t = 0; t < flags.length; t++) {
    const a = 3 * indices[3 * t];
    const b = 3 * indices[3 * t + 1];
    const c = 3 * indices[3 * t + 2];
    for (let k = 0; k < 3; k++) middle[k] = (p[a + k] + p[b + k] + p[c + k]) / 3;
    const ux = p[b] - p[a];
    const uy = p[b + 1] - p[a + 1];
    const uz = p[b + 2] - p[a + 2];
    const vx = p[c] - p[a];
    const vy = p[c + 1] - p[a + 1];
    const vz = p[c + 2] - p[a + 2];
    normal[0] = uy * vz - uz * vy;
    normal[1] = uz * vx - ux * vz;
    normal[2] = ux * vy - uy * vx;
    if (isHoleWall(middle, normal, records)) flags[t] = 1;
  }
  return flags;
}

const RECORD = 9;

/** Of each stone: origin, axis, least and greatest height of a wall from the girdle plane, reach squared. One array: the loop over it is hot. */
function stoneRecords(stones: readonly StoneAbove[]): Float64Array {
  const records = new Float64Array(RECORD * stones.length);
  stones.forEach(({ origin, axis, reach, depth }, s) => {
    // no hole is deeper than the middle of the ring: beyond the finger stands the metal of other stones
    const middle = -Math.hypot(origin[0], origin[1], origin[2]);
    const heights = [middle, -BELOW_GIRDLE * depth];
    records.set([...xyz(origin), ...xyz(axis), ...heights, reach * reach], RECORD * s);
  });
  return records;
}

const xyz = (v: ArrayLike<number>) => [v[0], v[1], v[2]];

/** @param middle of the triangle @param normal of any length, outwards */
function isHoleWall(middle: Float64Array, normal: Float64Array, records: Float64Array): boolean {
  const x = middle[0];
  const y = middle[1];
  const z = middle[2];
  const nx = normal[0];
  const ny = normal[1];
  const nz = normal[2];
  const size = Math.hypot(nx, ny, nz);
  for (let s = 0; s < records.length; s += RECORD) {
    const dx = x - records[s];
    const dy = y - records[s + 1];
    const dz = z - records[s + 2];
    const ax = records[s + 3];
    const ay = records[s + 4];
    const az = records[s + 5];
    const h = dx * ax + dy * ay + dz * az;
    if (h > records[s + 7] || h < records[s + 6]) continue;
    if (dx * dx + dy * dy + dz * dz - h * h > records[s + 8]) continue;
    const leans = Math.abs(nx * ax + ny * ay + nz * az);
    // towards the axis: the outside of a band this near to it faces away
    const inward = nx * (dx - h * ax) + ny * (dy - h * ay) + nz * (dz - h * az);
    if (leans < UPRIGHT * size && inward < 0) return true;
  }
  return false;
}

interface Vertex {
  x: number;
  y: number;
  z: number;
}

/** z from the middle line that is told by even steps of θ. */
function straightened(middleMm: readonly number[]): (vertex: Vertex) => number {
  const n = middleMm.length;
  return ({ x, y, z }) => {
    const at = ((Math.atan2(x, y) / (2 * Math.PI) + 1) % 1) * n;
    const i = Math.floor(at) % n;
    return z - middleMm[i] - (at - Math.floor(at)) * (middleMm[(i + 1) % n] - middleMm[i]);
  };
}

/** The bore's section as [z, r] by rising z: in each slice of the width the vertex nearest to the finger. */
function boreLine(positions: Float32Array, fromMiddle: (vertex: Vertex) => number): [z: number, r: number][] {
  const slices = new Map<number, [number, number]>();
  for (let v = 0; v < positions.length; v += 3) {
    const r = Math.hypot(positions[v], positions[v + 1]);
    const z = fromMiddle({ x: positions[v], y: positions[v + 1], z: positions[v + 2] });
    const k = Math.round(z / SLICE);
    if (r < (slices.get(k)?.[1] ?? Number.POSITIVE_INFINITY)) slices.set(k, [z, r]);
  }
  return [...slices.values()].sort((a, b) => a[0] - b[0]);
}
