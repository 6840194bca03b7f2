/**
 * Meshes made small: 16-bit positions on one grid for the whole band, 16-bit normals, vertices in the order in
 * which triangles meet them.
 */
import { MeshoptEncoder } from 'meshoptimizer';
import type { TriMesh } from '../band/built-shape.ts';

/** position = centre + step × integer; integers lie within ±32767. Millimetres, band coordinates. */
export interface Grid {
  centre: [number, number, number];
  halfMm: number;
}

export interface CompactMesh {
  /** 3 per vertex, normalised 16-bit: −32767 … 32767 stand for −1 … 1 of the grid */
  positions: Int16Array | Int32Array;
  /** 3 per vertex, normalised 16-bit */
  normals: Int16Array;
  indices: Uint32Array;
}

/**
 * One grid for all lanes, so that neighbours which share a seam still share it afterwards. A 25 mm ring gets
 * steps of 0.4 µm, far below what a bench can measure.
 */
export function gridAround(meshes: readonly TriMesh[]): Grid {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (const { positions } of meshes) {
    for (let i = 0; i < positions.length; i++) {
      const v = positions[i];
      if (v < low[i % 3]) low[i % 3] = v;
      if (v > high[i % 3]) high[i % 3] = v;
    }
  }
  const centre = low.map((l, i) => (l + high[i]) / 2) as Grid['centre'];
  const halfMm = Math.max(...low.map((l, i) => (high[i] - l) / 2));
  return { centre, halfMm: halfMm > 0 ? halfMm : 1 };
}

/**
 * Normals keep 12 bits and sign: 0.02° at worst, so a polished surface still reflects smoothly (8 bits, the
 * usual choice, bends reflections by 0.4° and shows as rings on a mirror), and the four empty bits compress
 * to nothing.
 */
const NORMAL_STEP = 16;

/** Call after `MeshoptEncoder.ready`. Triangles that shrink to a line on the grid are dropped. */
export function compactMesh(mesh: TriMesh, grid: Grid): CompactMesh {
  const count = mesh.positions.length / 3;
  const positions = new Int16Array(count * 3);
  const normals = new Int16Array(count * 3);
  for (let i = 0; i < count * 3; i += 3) {
    for (let k = 0; k < 3; k++) {
      positions[i + k] = Math.round(((mesh.positions[i + k] - grid.centre[k]) / grid.halfMm) * 32767);
    }
    const [x, y, z] = mesh.normals.subarray(i, i + 3);
    const length = Math.hypot(x, y, z) || 1;
    normals[i] = quantiseNormal(x / length);
    normals[i + 1] = quantiseNormal(y / length);
    normals[i + 2] = quantiseNormal(z / length);
  }
  return inReadingOrder(positions, normals, withoutSlivers(mesh.indices, positions));
}

function quantiseNormal(v: number): number {
  return Math.max(-32767, Math.min(32767, Math.round((v * 32767) / NORMAL_STEP) * NORMAL_STEP));
}

function withoutSlivers(indices: Uint32Array, positions: Int16Array): Uint32Array {
  const same = (a: number, b: number) =>
    positions[3 * a] === positions[3 * b] &&
    positions[3 * a + 1] === positions[3 * b + 1] &&
    positions[3 * a + 2] === positions[3 * b + 2];
  const kept = new Uint32Array(indices.length);
  let n = 0;
  for (let i = 0; i < indices.length; i += 3) {
    const [a, b, c] = indices.subarray(i, i + 3);
    if (same(a, b) || same(b, c) || same(c, a)) continue;
    kept[n++] = a;
    kept[n++] = b;
    kept[n++] = c;
  }
  return kept.slice(0, n);
}

function inReadingOrder(positions: Int16Array, normals: Int16Array, indices: Uint32Array): CompactMesh {
  const ordered = indices.slice();
  // reorders `ordered` in place and returns old vertex → new vertex
  const [remap, unique] = MeshoptEncoder.reorderMesh(ordered, true, true);
  const move = (source: Int16Array) => {
    const target = new Int16Array(unique * 3);
    for (let v = 0; v < remap.length; v++) {
      const to = remap[v];
      if (to < unique) target.set(source.subarray(3 * v, 3 * v + 3), 3 * to);
    }
    return target;
  };
  return { positions: move(positions), normals: move(normals), indices: ordered };
}
