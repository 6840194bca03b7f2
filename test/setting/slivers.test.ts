import { BufferAttribute, BufferGeometry, DoubleSide, Ray, Vector3 } from 'three';
import { MeshBVH } from 'three-mesh-bvh';
import { beforeAll, expect, it } from 'vitest';
import type { TriMesh } from '../../pipeline/band/built-shape.ts';
import type { RowDesign } from '../../pipeline/plan/design.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { BRIGHT_GRAIN, straightRowDesign } from './stone-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

/** Thinnest metal that a cut may leave standing, mm: half of what a close bur leaves. */
const TOLERANCE_MM = 0.025;

/**
 * Thinnest metal, from the middle of each triangle straight in to a surface that faces the other way (within 37°);
 * edges, where two surfaces meet at an angle, have no thickness of their own.
 */
function thinnest({ positions, indices }: TriMesh): number {
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(positions.slice(), 3));
  geometry.setIndex(new BufferAttribute(indices.slice(), 1));
  const tree = new MeshBVH(geometry, { indirect: true });
  const at = (i: number) => new Vector3().fromArray(positions, 3 * i);
  let least = Number.POSITIVE_INFINITY;
  for (let k = 0; k < indices.length; k += 3) {
    const [a, b, c] = [at(indices[k]), at(indices[k + 1]), at(indices[k + 2])];
    const normal = b.clone().sub(a).cross(c.clone().sub(a));
    if (normal.length() < 2e-7) continue;
    normal.normalize();
    const middle = a.add(b).add(c).divideScalar(3);
    const ray = new Ray(middle.addScaledVector(normal, -1e-4), normal.clone().negate());
    const hit = tree.raycastFirst(ray, DoubleSide);
    if (hit?.face && hit.face.normal.dot(normal) < -0.8) least = Math.min(least, hit.distance + 1e-4);
  }
  return least;
}

const claws = { style: 'shared-claws', clawDiameterMm: 0.52, clawHeightMm: 0.2 } as const;
const square = {
  cut: 'princess',
  diameterMm: 1.8,
  lengthMm: 1.8,
  setDepthMm: 0.2,
  leastGapMm: 0.06,
} as const;

it.each([
  ['shared claws', { setting: claws }],
  ['grains of their own', { diameterMm: 1.3, setDepthMm: 0.15, setting: BRIGHT_GRAIN }],
  ['shared grains', { diameterMm: 1.3, setDepthMm: 0.15, setting: { ...BRIGHT_GRAIN, grains: 'shared' } }],
  ['squares in a channel', { ...square, setting: { style: 'channel', openingShare: 0.9 } }],
  ['flush stones', { leastGapMm: 0.6, setting: { style: 'flush', lipMm: 0.08 } }],
] as [string, Partial<RowDesign>][])('%s leave no sliver thinner than 0.025 mm', async (_, row) => {
  const coverage = { kind: 'arc', angleRad: 1.1 } as const;
  const design = straightRowDesign({ coverage, ...row }, { widthMm: 4, thicknessMm: 2.3 });
  const shape = await buildShape(design, kernel);
  expect(thinnest(shape.lanes[0].mesh)).toBeGreaterThan(TOLERANCE_MM);
});
