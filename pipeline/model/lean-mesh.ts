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

/** The lanes' meshes, with fewer triangles if the band has more triangles than viewers take well. */
export async function leanLanes({ lanes, rows }: BuiltShape): Promise<TriMesh[]> {
  const corners =
    lanes.reduce((n, { mesh }) => n + mesh.indices.length, 0) +
    rows.reduce((n, { count, stone }) => n + count * stone.mesh.indices.length, 0);
  if (corners <= 3 * MOST) return lanes.map(({ mesh }) => mesh);
  return leanTogether(lanes.map(({ mesh }) => mesh));
}

/** Thinned meshes that still meet along their seams. */
export async function leanTogether(meshes: readonly TriMesh[]): Promise<TriMesh[]> {
  const seams = sharedVertices(meshes);
  return Promise.all(meshes.map((mesh, i) => leanMesh(mesh, seams[i])));
}

/**
 * Of each mesh, the vertices (1) at which another has one too: seams. Both sides of a seam keep them, else the two would be
 * simplified apart and hairline cracks show between them.
 */
function sharedVertices(meshes: readonly TriMesh[]): Uint8Array[] {
  const owner = new Map<string, number>();
  const at = ({ positions: p }: TriMesh, v: number) => `${p[3 * v]} ${p[3 * v + 1]} ${p[3 * v + 2]}`;
  meshes.forEach((mesh, i) => {
    for (let v = 0; v < mesh.positions.length / 3; v++) {
      const place = at(mesh, v);
      owner.set(place, (owner.get(place) ?? i) === i ? i : SHARED);
    }
  });
  return meshes.map((mesh) =>
    Uint8Array.from({ length: mesh.positions.length / 3 }, (_, v) =>
      owner.get(at(mesh, v)) === SHARED ? 1 : 0,
    ),
  );
}

const SHARED = -1;

/** @param locked vertices (1) that stay */
async function leanMesh(mesh: TriMesh, locked: Uint8Array): Promise<TriMesh> {
  await MeshoptSimplifier.ready;
  const { positions, normals, indices } = mesh;
  const error = DEVIATION / MeshoptSimplifier.getScale(positions, 3);
  const weights = [NORMAL_WEIGHT, NORMAL_WEIGHT, NORMAL_WEIGHT];
  const [kept] = MeshoptSimplifier.simplifyWithAttributes(
    indices,
    positions,
    3,
    normals,
    3,
    weights,
    locked,
    0,
    error,
    [],
  );
  return { ...mesh, indices: kept };
}
