import { expect } from 'vitest';
import type { BuiltShape } from '../../pipeline/band/built-shape.ts';
import type { SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { inspectMesh } from '../band/closed-mesh.ts';
import { eachStone, solidFrom } from './bare-solid.ts';

/** What holds of every set lane: one closed manifold of the given genus that shares nothing with any stone. */
export function expectSoundSet(kernel: SolidKernel, shape: BuiltShape, lane: number, genus: number): void {
  const { mesh, volumeMm3 } = shape.lanes[lane];
  const metal = solidFrom(kernel, mesh);
  expect(metal.status()).toBe('NoError');
  const parts = metal.decompose();
  expect(parts).toHaveLength(1);
  expect(metal.genus()).toBe(genus);
  expect(metal.volume()).toBeCloseTo(volumeMm3, 2);
  const report = inspectMesh(mesh);
  expect(report.looseEdges).toBe(0);
  expect(report.normalLengthError).toBeLessThan(1e-5);
  // all at once: they stand clear of each other
  const stones = eachStone(shape).map((stone) => solidFrom(kernel, stone));
  const all = kernel.Manifold.union(stones);
  const common = kernel.Manifold.intersection(all, metal);
  expect(all.volume()).toBeGreaterThan(0);
  expect(common.volume()).toBeLessThan(1e-9);
  for (const solid of [metal, all, common, ...stones, ...parts]) solid.delete();
}

/** Metal that every stone meets when lifted along its axis, the least of all, mm³. */
export function leastHold(kernel: SolidKernel, shape: BuiltShape, lane: number, liftMm: number): number {
  const metal = solidFrom(kernel, shape.lanes[lane].mesh);
  const holds = eachStone(shape, liftMm).map((mesh) => {
    const stone = solidFrom(kernel, mesh);
    const common = kernel.Manifold.intersection(stone, metal);
    const volume = common.volume();
    for (const solid of [stone, common]) solid.delete();
    return volume;
  });
  metal.delete();
  return Math.min(...holds);
}
