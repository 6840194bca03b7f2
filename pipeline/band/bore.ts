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
