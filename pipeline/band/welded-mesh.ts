import type { TriMesh } from './built-shape.ts';

/** A TriMesh whose creases hold one vertex per side; the pairs say which vertices are one point of the solid. */
export interface WeldedMesh extends TriMesh {
  /** vertex `mergeFrom[i]` is at the same place as vertex `mergeTo[i]` */
  mergeFrom: Uint32Array;
  mergeTo: Uint32Array;
}

/** Volume enclosed by a closed mesh, mm³, by the divergence theorem: Σ a · (b × c) / 6. */
export function meshVolume(mesh: TriMesh): number {
  const p = mesh.positions;
  let six = 0;
  for (let t = 0; t < mesh.indices.length; t += 3) {
    const a = 3 * mesh.indices[t];
    const b = 3 * mesh.indices[t + 1];
    const c = 3 * mesh.indices[t + 2];
    six +=
      p[a] * (p[b + 1] * p[c + 2] - p[b + 2] * p[c + 1]) +
      p[a + 1] * (p[b + 2] * p[c] - p[b] * p[c + 2]) +
      p[a + 2] * (p[b] * p[c + 1] - p[b + 1] * p[c]);
  }
  return six / 6;
}
