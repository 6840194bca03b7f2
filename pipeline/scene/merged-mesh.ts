/** The lanes of a take as one mesh. */
import type { Matrix4 } from 'three';
import {
  type BoreLetters,
  boreTriangles,
  holeTriangles,
  letterTriangles,
  type StoneAbove,
} from '../band/bore.ts';
import type { TriMesh } from '../band/built-shape.ts';
import type { TraceScene } from './trace-scene.ts';

/** Surfaces of a lane, by what is added to the first of them. */
const OUTSIDE = 0;
export const BORE = 1;
const LETTERS = 2;
const HOLES = 3;

/** What of a mesh hangs on no pose. */
export type Faces = Pick<TraceScene['mesh'], 'indices' | 'surface'>;

/** A lane, and where it stands. */
export interface PlacedMesh {
  mesh: TriMesh;
  toWorld: Matrix4;
  /** of the outside; the others follow it */
  surface: number;
  letters?: BoreLetters;
  stones: readonly StoneAbove[];
}

/** The lanes’ vertices in the world, one lane after another. */
export function mergeVertices(
  parts: readonly PlacedMesh[],
): Pick<TraceScene['mesh'], 'positions' | 'normals'> {
  const floats = parts.reduce((n, p) => n + p.mesh.positions.length, 0);
  const positions = new Float32Array(floats);
  const normals = new Float32Array(floats);
  let v = 0;
  for (const { mesh, toWorld } of parts) {
    const m = toWorld.elements;
    for (let i = 0; i < mesh.positions.length; i += 3) {
      transform(m, mesh.positions, i, 1, positions, v + i);
      transform(m, mesh.normals, i, 0, normals, v + i);
    }
    v += mesh.positions.length;
  }
  return { positions, normals };
}

/** The lanes’ triangles, and which surface each of them wears. */
export function mergeFaces(parts: readonly PlacedMesh[]): Faces {
  const corners = parts.reduce((n, p) => n + p.mesh.indices.length, 0);
  const indices = new Uint32Array(corners);
  const surface = new Uint16Array(corners / 3);
  let v = 0;
  let c = 0;
  for (const { mesh, surface: id, letters, stones } of parts) {
    for (let i = 0; i < mesh.indices.length; i++) indices[c + i] = mesh.indices[i] + v / 3;
    const cut = letters && letterTriangles(mesh, letters);
    const holes = holeTriangles(mesh, stones);
    boreTriangles(mesh).forEach((bore, t) => {
      surface[c / 3 + t] = id + (holes[t] ? HOLES : cut?.[t] ? LETTERS : bore ? BORE : OUTSIDE);
    });
    v += mesh.positions.length;
    c += mesh.indices.length;
  }
  return { indices, surface };
}

/** Applies a rigid column-major matrix to a point (w = 1) or a direction (w = 0). */
function transform(
  m: ArrayLike<number>,
  from: Float32Array,
  i: number,
  w: number,
  to: Float32Array,
  o: number,
): void {
  const x = from[i];
  const y = from[i + 1];
  const z = from[i + 2];
  to[o] = m[0] * x + m[4] * y + m[8] * z + m[12] * w;
  to[o + 1] = m[1] * x + m[5] * y + m[9] * z + m[13] * w;
  to[o + 2] = m[2] * x + m[6] * y + m[10] * z + m[14] * w;
}
