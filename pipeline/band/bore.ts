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
      const r = Math.hypot(positions[v], positions[v + 1]);
      if (r > 0) inward -= (normals[v] * positions[v] + normals[v + 1] * positions[v + 1]) / r;
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
  { atDeg, lengthMm, depthMm }: BoreLetters,
): Uint8Array {
  const flags = new Uint8Array(indices.length / 3);
  const line = boreLine(positions);
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
    const i = line.findIndex(([to]) => to > z);
    if (i < 1) continue;
    const [[z0, r0], [z1, r1]] = [line[i - 1], line[i]];
    const slope = (r1 - r0) / (z1 - z0);
    const below = r - r0 - slope * (z - z0);
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
  const [a, b, c] = [new Float64Array(3), new Float64Array(3), new Float64Array(3)];
  for (let t = 0; t < flags.length; t++) {
    for (let k = 0; k < 3; k++) {
      a[k] = positions[3 * indices[3 * t] + k];
      b[k] = positions[3 * indices[3 * t + 1] + k];
      c[k] = positions[3 * indices[3 * t + 2] + k];
    }
    const [ux, uy, uz] = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
    const [vx, vy, vz] = [c[0] - a[0], c[1] - a[1], c[2] - a[2]];
    const [nx, ny, nz] = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
    const size = Math.hypot(nx, ny, nz);
    for (const { origin, axis, reach, depth } of stones) {
      const dx = (a[0] + b[0] + c[0]) / 3 - origin[0];
      const dy = (a[1] + b[1] + c[1]) / 3 - origin[1];
      const dz = (a[2] + b[2] + c[2]) / 3 - origin[2];
      const h = dx * axis[0] + dy * axis[1] + dz * axis[2];
      if (h > -BELOW_GIRDLE * depth || dx * dx + dy * dy + dz * dz - h * h > reach * reach) continue;
      const leans = Math.abs(nx * axis[0] + ny * axis[1] + nz * axis[2]);
      // towards the axis: the outside of a band this near to it faces away
      const inward = nx * (dx - h * axis[0]) + ny * (dy - h * axis[1]) + nz * (dz - h * axis[2]);
      if (leans < UPRIGHT * size && inward < 0) {
        flags[t] = 1;
        break;
      }
    }
  }
  return flags;
}

/** The bore's section as [z, r] by rising z: in each slice of the width the vertex nearest to the finger. */
function boreLine(positions: Float32Array): [z: number, r: number][] {
  const slices = new Map<number, [number, number]>();
  for (let v = 0; v < positions.length; v += 3) {
    const r = Math.hypot(positions[v], positions[v + 1]);
    const z = positions[v + 2];
    const k = Math.round(z / SLICE);
    if (r < (slices.get(k)?.[1] ?? Number.POSITIVE_INFINITY)) slices.set(k, [z, r]);
  }
  return [...slices.values()].sort((a, b) => a[0] - b[0]);
}
