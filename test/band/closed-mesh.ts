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
  for (let t = 0; t < indices.length; t += 3) {
    const corners = [indices[t], indices[t + 1], indices[t + 2]];
    const [a, b, c] = corners.map((i) => point[i]);
    if (a === b || b === c || c === a) continue;
    triangles++;
    bump(a, b);
    bump(b, c);
    bump(c, a);
    leastCosine = Math.min(leastCosine, facing(p, n, corners));
  }
  let loose = 0;
  for (const count of edges.values()) if (count !== 1001) loose++;
  let lengthError = 0;
  for (let i = 0; i < n.length; i += 3) {
    lengthError = Math.max(lengthError, Math.abs(Math.hypot(n[i], n[i + 1], n[i + 2]) - 1));
  }
  const used = new Set([...edges.keys()].flatMap((k) => [Math.floor(k / size), k % size]));
  const euler = used.size - edges.size + triangles;
  return { looseEdges: loose, genus: 1 - euler / 2, normalLengthError: lengthError, leastCosine, triangles };
}

function facing(p: Float32Array, n: Float32Array, corners: number[]): number {
  const [a, b, c] = corners.map((i) => [p[3 * i], p[3 * i + 1], p[3 * i + 2]]);
  const u = a.map((x, k) => b[k] - x);
  const v = a.map((x, k) => c[k] - x);
  const w = b.map((x, k) => c[k] - x);
  const g = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
  const size = Math.hypot(...g);
  const longest = Math.max(Math.hypot(...u), Math.hypot(...v), Math.hypot(...w));
  if (size / longest < SLIVER_MM) return 1;
  return Math.min(
    ...corners.map((i) => (g[0] * n[3 * i] + g[1] * n[3 * i + 1] + g[2] * n[3 * i + 2]) / size),
  );
}

/** For every vertex the first vertex at exactly its place. */
function onePerPlace(positions: Float32Array): Int32Array {
  const bits = new Int32Array(positions.map((x) => x + 0).buffer); // + 0 turns −0 into 0
  const heads = new Map<number, number[]>();
  return Int32Array.from({ length: positions.length / 3 }, (_, i) => {
    const hash = Math.imul(bits[3 * i], 73856093) ^ Math.imul(bits[3 * i + 1], 19349663) ^ bits[3 * i + 2];
    const bucket = heads.get(hash) ?? [];
    heads.set(hash, bucket);
    const same = (k: number) => [0, 1, 2].every((c) => positions[3 * k + c] === positions[3 * i + c]);
    const known = bucket.find(same);
    if (known === undefined) bucket.push(i);
    return known ?? i;
  });
}
