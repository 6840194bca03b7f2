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
  let triangles = 0;
  let leastCosine = 1;
  const used = new Uint8Array(size);
  for (let t = 0; t < indices.length; t += 3) {
    const [i, j, k] = [indices[t], indices[t + 1], indices[t + 2]];
    const [a, b, c] = [point[i], point[j], point[k]];
    if (a === b || b === c || c === a) continue;
    triangles++;
    used[a] = used[b] = used[c] = 1;
    leastCosine = Math.min(leastCosine, facing(p, n, i, j, k));
  }
  const { different, loose } = edgeUses(point, indices);
  let lengthError = 0;
  for (let i = 0; i < n.length; i += 3) {
    lengthError = Math.max(lengthError, Math.abs(size3(n[i], n[i + 1], n[i + 2]) - 1));
  }
  const points = used.reduce((sum, one) => sum + one, 0);
  const euler = points - different + triangles;
  return { looseEdges: loose, genus: 1 - euler / 2, normalLengthError: lengthError, leastCosine, triangles };
}

/** Least cosine between the triangle's own normal and those of its corners i, j, k. */
function facing(p: Float32Array, n: Float32Array, i: number, j: number, k: number): number {
  const side = (to: number, from: number, axis: number) => p[3 * to + axis] - p[3 * from + axis];
  const [ux, uy, uz] = [side(j, i, 0), side(j, i, 1), side(j, i, 2)];
  const [vx, vy, vz] = [side(k, i, 0), side(k, i, 1), side(k, i, 2)];
  const [wx, wy, wz] = [side(k, j, 0), side(k, j, 1), side(k, j, 2)];
  const [gx, gy, gz] = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
  const size = size3(gx, gy, gz);
  const longest = Math.max(size3(ux, uy, uz), size3(vx, vy, vz), size3(wx, wy, wz));
  if (size / longest < SLIVER_MM) return 1;
  const cosine = (at: number) => (gx * n[3 * at] + gy * n[3 * at + 1] + gz * n[3 * at + 2]) / size;
  return Math.min(cosine(i), cosine(j), cosine(k));
}

/** `Math.hypot` guards against lengths that no band has, and takes ten times as long. */
function size3(x: number, y: number, z: number): number {
  return Math.sqrt(x * x + y * y + z * z);
}

/**
 * How many edges there are, and how many of them have not exactly one triangle on either side. Each way that a triangle
 * goes along an edge is kept with the edge's lower point: sorting all of them at once takes far longer.
 */
function edgeUses(point: Int32Array, indices: Uint32Array): { different: number; loose: number } {
  const eachWay = (told: (low: number, way: number) => void) => {
    const way = (from: number, to: number) => {
      if (from < to) told(from, 2 * to);
      else told(to, 2 * from + 1);
    };
    for (let t = 0; t < indices.length; t += 3) {
      const [a, b, c] = [point[indices[t]], point[indices[t + 1]], point[indices[t + 2]]];
      if (a === b || b === c || c === a) continue;
      way(a, b);
      way(b, c);
      way(c, a);
    }
  };
  const ends = new Int32Array(point.length + 1);
  eachWay((low) => ends[low + 1]++);
  for (let i = 1; i < ends.length; i++) ends[i] += ends[i - 1];
  const next = ends.slice();
  const ways = new Int32Array(indices.length);
  eachWay((low, way) => {
    ways[next[low]++] = way;
  });
  let [different, loose] = [0, 0];
  for (let low = 0; low < point.length; low++) {
    const own = ways.subarray(ends[low], ends[low + 1]);
    if (own.length > 1) own.sort();
    for (let i = 0; i < own.length; ) {
      // the way back along the same edge is one more
      const forward = own[i] - (own[i] % 2);
      let end = i + 1;
      while (end < own.length && own[end] <= forward + 1) end++;
      different++;
      if (end - i !== 2 || own[i] !== forward || own[i + 1] !== forward + 1) loose++;
      i = end;
    }
  }
  return { different, loose };
}

/** For every vertex the first vertex at exactly its place. */
function onePerPlace(positions: Float32Array): Int32Array {
  const bits = new Int32Array(positions.map((x) => x + 0).buffer); // + 0 turns −0 into 0
  const size = positions.length / 3;
  // what is not a number is no place, and equals none
  const same = (a: number, b: number) =>
    positions[3 * a] === positions[3 * b] &&
    positions[3 * a + 1] === positions[3 * b + 1] &&
    positions[3 * a + 2] === positions[3 * b + 2];
  const slots = new Int32Array(2 ** Math.ceil(Math.log2(2 * size + 1))).fill(-1);
  return Int32Array.from({ length: size }, (_, i) => {
    const [x, y, z] = [bits[3 * i], bits[3 * i + 1], bits[3 * i + 2]];
    let hash = Math.imul(x, 73856093) ^ Math.imul(y, 19349663) ^ Math.imul(z, 83492791);
    hash ^= hash >>> 15;
    for (let at = hash & (slots.length - 1); ; at = (at + 1) & (slots.length - 1)) {
      const known = slots[at];
      if (known < 0) {
        slots[at] = i;
        return i;
      }
      if (same(known, i)) return known;
    }
  });
}
