/**
 * Meshes with fewer triangles for viewers: flat and gently curved places need few, seats and claws keep theirs.
 *
 * No surface moves by more than 2 µm and normals count as positions do, so reflections stay smooth; a band of 60
 * stones comes to about 60 % of its triangles. Vertices are chosen from those that are there: none is moved.
 */
import { MeshoptSimplifier } from 'meshoptimizer';
import type { BuiltShape, TriMesh } from '../band/built-shape.ts';

/** mm; well below the template's usual chord tolerance and far below what polishing takes off. */
const DEVIATION = 0.002;
/** mm of deviation that a whole unit of a normal's change counts as, relative to the mesh's size. */
const NORMAL_WEIGHT = 0.02;

/** Triangles that viewers of shops take well (common practice); bands with fewer are left as they were built. */
const MOST = 150_000;

/** The lanes' meshes, made lean if the band has more triangles than viewers take well. */
export async function leanLanes({ lanes, rows }: BuiltShape): Promise<TriMesh[]> {
  const corners =
    lanes.reduce((n, { mesh }) => n + mesh.indices.length, 0) +
    rows.reduce((n, { count, stone }) => n + count * stone.mesh.indices.length, 0);
  if (corners <= 3 * MOST) return lanes.map(({ mesh }) => mesh);
  return Promise.all(lanes.map(({ mesh }) => leanMesh(mesh)));
}

export async function leanMesh<T extends TriMesh>(mesh: T, deviation = DEVIATION): Promise<T> {
  await MeshoptSimplifier.ready;
  const { positions, normals, indices } = mesh;
  const error = deviation / MeshoptSimplifier.getScale(positions, 3);
  const weights = [NORMAL_WEIGHT, NORMAL_WEIGHT, NORMAL_WEIGHT];
  const [kept] = MeshoptSimplifier.simplifyWithAttributes(
    indices,
    positions,
    3,
    normals,
    3,
    weights,
    null,
    0,
    error,
    [],
  );
  return { ...mesh, indices: kept };
}
