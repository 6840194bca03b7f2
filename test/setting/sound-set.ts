import type { Manifold } from 'manifold-3d';
import { expect } from 'vitest';
import type { BuiltShape } from '../../pipeline/band/built-shape.ts';
import type { SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { inspectMesh, type MeshReport } from '../band/closed-mesh.ts';
import { eachStone, solidFrom } from './bare-solid.ts';

/**
 * What holds of every set lane: one closed manifold of the given genus that shares nothing with any stone.
 * @param heldMm if given, every stone meets metal too when it is lifted by so much
 * @returns what its mesh is like
 */
export function expectSoundSet(
  kernel: SolidKernel,
  shape: BuiltShape,
  lane: number,
  genus: number,
  heldMm?: number,
): MeshReport {
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
  const stones = eachStone(shape).map((stone) => solidFrom(kernel, stone));
  // letters and grooves are cut into bands without stones too
  if (stones.length > 0) expect(commonVolume(kernel, stones, metal)).toBeLessThan(1e-9);
  if (heldMm !== undefined) expect(leastHold(kernel, shape, metal, heldMm)).toBeGreaterThan(LEAST_HOLD_MM3);
  for (const solid of [metal, ...stones, ...parts]) solid.delete();
  return report;
}

/** Metal that a stone which is held meets at least when it is lifted, mm³: far above what rounding leaves. */
export const LEAST_HOLD_MM3 = 1e-4;

/** What stones that stand clear of each other share with metal, all together, mm³. */
export function commonVolume(kernel: SolidKernel, stones: Manifold[], metal: Manifold): number {
  if (stones.length === 0) return 0;
  const all = kernel.Manifold.union(stones);
  expect(all.volume()).toBeGreaterThan(0);
  const common = kernel.Manifold.intersection(all, metal);
  const volume = common.volume();
  for (const solid of [all, common]) solid.delete();
  return volume;
}

/** Metal that every stone meets when lifted along its axis, the least of all, mm³. */
export function leastHold(kernel: SolidKernel, shape: BuiltShape, metal: Manifold, liftMm: number): number {
  const stones = eachStone(shape, liftMm);
  const solids = stones.map((mesh) => solidFrom(kernel, mesh));
  // one cut for all: what it leaves lies in several pieces at every stone
  const all = kernel.Manifold.union(solids);
  const common = kernel.Manifold.intersection(all, metal);
  const pieces = common.decompose();
  const centres = stones.map(({ positions }) => middle(positions, 3));
  const holds = new Float64Array(stones.length);
  for (const piece of pieces) {
    const { vertProperties, numProp } = piece.getMesh();
    const at = middle(vertProperties, numProp);
    const away = centres.map((centre) => Math.hypot(...centre.map((x, k) => x - at[k])));
    holds[away.indexOf(Math.min(...away))] += piece.volume();
  }
  for (const solid of [all, common, ...solids, ...pieces]) solid.delete();
  return Math.min(...holds);
}

/** Mean of the points that begin every so many numbers. */
function middle(numbers: Float32Array, every: number): number[] {
  const sum = [0, 0, 0];
  for (let i = 0; i < numbers.length; i += every) for (let k = 0; k < 3; k++) sum[k] += numbers[i + k];
  return sum.map((x) => (x * every) / numbers.length);
}
