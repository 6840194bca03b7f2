import type { TriMesh } from '../../pipeline/band/built-shape.ts';

/** What a mesh is like as a solid, its vertices taken as one point where their positions are equal. */
export interface MeshReport {
  /** edges that do not have exactly one triangle on either side */
  looseEdges: number;
  /** 1 − χ/2 of a closed surface: 0 for a ball, 1 for a ring */
  genus: number;
  /** greatest deviation of a normal's length from 1 */
  normalLengthError: number;
  /** least cosine between a vertex normal and the triangle's own, over triangles that are not slivers */
  leastCosine: number;
  triangles: number;
}

/** Triangles lower than this say nothing about direction: their corners are rounded to single precision. */
const SLIVER_MM = 2e-4;

export function inspectMesh(mesh: TriMesh): MeshReport {
  const { positions: p, normals: n, indices } = mesh;
  const point = onePerPlace(p);
  const size = point.length;
  const edges = new Map<number, number>();
  const bump = (a: number, b: number) => {
    const key = Math.min(a, b) * size + Math.max(a, b);
    const count = edges.get(key) ?? 0;
    // forward and backward uses are counted in different digits
    edges.set(key, count + (a < b ? 1 : 1000));
  };
  let triangles = 0;
  let leastCosine = 1;
  const used = new Uint8Array(size);
  for (let t = 0; t < indices.length; t += 3) {
    const [i, j, k] = [indices[t], indices[t + 1], indices[t + 2]];
    const [a, b, c] = [point[i], point[j], point[k]];
    if (a === b || b === c || c === a) continue;
    triangles++;
    bump(a, b);
    bump(b, c);
    bump(c, a);
    used[a] = used[b] = used[c] = 1;
    leastCosine = Math.min(leastCosine, facing(p, n, i, j, k));
  }
  let loose = 0;
  for (const count of edges.values()) if (count !== 1001) loose++;
  let lengthError = 0;
  for (let i = 0; i < n.length; i += 3) {
    lengthError = Math.max(lengthError, Math.abs(Math.hypot(n[i], n[i + 1], n[i + 2]) - 1));
  }
  const points = used.reduce((sum, one) => sum + one, 0);
  const euler = points - edges.size + triangles;
  return { looseEdges: loose, genus: 1 - euler / 2, normalLengthError: lengthError, leastCosine, triangles };
}

/** Least cosine between the triangle's own normal and those of its corners i, j, k. */
function facing(p: Float32Array, n: Float32Array, i: number, j: number, k: number): number {
  const side = (to: number, from: number, axis: number) => p[3 * to + axis] - p[3 * from + axis];
  const [ux, uy, uz] = [side(j, i, 0), side(j, i, 1), side(j, i, 2)];
  const [vx, vy, vz] = [side(k, i, 0), side(k, i, 1), side(k, i, 2)];
  const [wx, wy, wz] = [side(k, j, 0), side(k, j, 1), side(k, j, 2)];
  const [gx, gy, gz] = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
  const size = Math.hypot(gx, gy, gz);
  const longest = Math.max(Math.hypot(ux, uy, uz), Math.hypot(vx, vy, vz), Math.hypot(wx, wy, wz));
  if (size / longest < SLIVER_MM) return 1;
  const cosine = (at: number) => (gx * n[3 * at] + gy * n[3 * at + 1] + gz * n[3 * at + 2]) / size;
  return Math.min(cosine(i), cosine(j), cosine(k));
}

/** For every vertex the first vertex at exactly its place. */
function onePerPlace(positions: Float32Array): Int32Array {
  const bits = new Int32Array(positions.map((x) => x + 0).buffer); // + 0 turns −0 into 0
  const heads = new Map<number, number[]>();
  return Int32Array.from({ length: positions.length / 3 }, (_, i) => {
    const hash = Math.imul(bits[3 * i], 73856093) ^ Math.imul(bits[3 * i + 1], 19349663) ^ bits[3 * i + 2];
    const bucket = heads.get(hash);
    const same = (k: number) =>
      positions[3 * k] === positions[3 * i] &&
      positions[3 * k + 1] === positions[3 * i + 1] &&
      positions[3 * k + 2] === positions[3 * i + 2];
    const known = bucket?.find(same);
    if (known !== undefined) return known;
    if (bucket) bucket.push(i);
    else heads.set(hash, [i]);
    return i;
  });
}
