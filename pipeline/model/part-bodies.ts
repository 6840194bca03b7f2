/** The bodies of a part's mesh, each by itself. */
import type { PartMesh } from './part-mesh.ts';

/** Points and triangles of one body; names of the lanes that it is made of, if that can be told. */
export interface PartBody {
  lanes?: string[];
  positions: Float32Array;
  indices: Uint32Array;
}

/** Points that triangles join belong together. Bodies stand as the part's pieces do, along the finger. */
export function partBodies({ positions, indices, pieces }: PartMesh): PartBody[] {
  const body = joined(positions.length / 3, indices);
  const roots = [...new Set(indices)].map((v) => body[v]);
  const own = [...new Set(roots)];
  if (own.length === 1) return [{ lanes: pieces.flat(), positions, indices }];
  const bodies = own.map((root) => bodyOf(root, body, positions, indices));
  bodies.sort((a, b) => placeAlong(a.positions) - placeAlong(b.positions));
  return bodies.map((b, i) => (bodies.length === pieces.length ? { ...b, lanes: pieces[i] } : b));
}

/** For each point the first one that it hangs together with (union by the lower number). */
function joined(count: number, indices: Uint32Array): Uint32Array {
  const parent = Uint32Array.from({ length: count }, (_, v) => v);
  const find = (v: number) => {
    let root = v;
    while (parent[root] !== root) root = parent[root];
    for (let at = v; parent[at] !== root; ) [at, parent[at]] = [parent[at], root];
    return root;
  };
  for (let t = 0; t < indices.length; t += 3)
    for (const other of [indices[t + 1], indices[t + 2]]) {
      const [a, b] = [find(indices[t]), find(other)];
      parent[Math.max(a, b)] = Math.min(a, b);
    }
  return parent.map((_, v) => find(v));
}

function bodyOf(root: number, body: Uint32Array, positions: Float32Array, indices: Uint32Array): PartBody {
  const places = new Map<number, number>();
  const points: number[] = [];
  const triangles: number[] = [];
  for (let t = 0; t < indices.length; t += 3) {
    if (body[indices[t]] !== root) continue;
    for (const v of indices.subarray(t, t + 3)) {
      if (!places.has(v)) {
        places.set(v, places.size);
        points.push(...positions.subarray(3 * v, 3 * v + 3));
      }
      triangles.push(places.get(v)!);
    }
  }
  return { positions: Float32Array.from(points), indices: Uint32Array.from(triangles) };
}

const SECTORS = 24;

/** Mean z, each part of the round counting the same: a body that runs beside another all round lies on one side of it. */
function placeAlong(positions: Float32Array): number {
  const sums = Array.from({ length: SECTORS }, () => ({ z: 0, count: 0 }));
  for (let v = 0; v < positions.length; v += 3) {
    const turn = Math.atan2(positions[v], positions[v + 1]) / (2 * Math.PI) + 0.5;
    const sector = sums[Math.min(SECTORS - 1, Math.floor(SECTORS * turn))];
    sector.z += positions[v + 2];
    sector.count++;
  }
  const filled = sums.filter(({ count }) => count > 0);
  return filled.reduce((sum, { z, count }) => sum + z / count, 0) / filled.length;
}
