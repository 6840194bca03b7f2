import { boreTriangles } from '../band/bore.ts';
import type { TriMesh } from '../band/built-shape.ts';

/** A lane's triangles in two heaps that share its vertices; one without any is left out. */
export function outsideAndBore(mesh: TriMesh): { part: TriMesh; bore: boolean }[] {
  const flags = boreTriangles(mesh);
  return [false, true]
    .map((bore) => ({
      part: { ...mesh, indices: mesh.indices.filter((_, i) => Boolean(flags[Math.floor(i / 3)]) === bore) },
      bore,
    }))
    .filter(({ part }) => part.indices.length > 0);
}
