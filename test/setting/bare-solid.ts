import type { BuiltShape, TriMesh } from '../../pipeline/band/built-shape.ts';
import type { SolidKernel } from '../../pipeline/setting/solid-kernel.ts';

/** A solid of bare positions, equal ones made one; the engine's own verdict on our meshes. */
export function solidFrom(kernel: SolidKernel, mesh: TriMesh) {
  const bare = new kernel.Mesh({
    numProp: 3,
    vertProperties: mesh.positions.slice(),
    triVerts: mesh.indices.slice(),
  });
  bare.merge();
  return new kernel.Manifold(bare);
}

/** A stone's mesh at a placement, lifted by some mm along its axis. */
export function placed(stone: TriMesh, m: Float64Array, lift = 0): TriMesh {
  const positions = stone.positions.slice();
  for (let i = 0; i < positions.length; i += 3) {
    const [x, y, z] = stone.positions.subarray(i, i + 3);
    for (let k = 0; k < 3; k++) {
      positions[i + k] = m[4 * k] * x + m[4 * k + 1] * y + m[4 * k + 2] * (z + lift) + m[4 * k + 3];
    }
  }
  return { ...stone, positions };
}

export function eachStone(shape: BuiltShape, lift = 0): TriMesh[] {
  return shape.rows.flatMap(({ stone, placements, count }) =>
    Array.from({ length: count }, (_, i) =>
      placed(stone.mesh, placements.subarray(12 * i, 12 * i + 12), lift),
    ),
  );
}
