import type { Manifold } from 'manifold-3d';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { BuiltShape, TriMesh } from '../../pipeline/band/built-shape.ts';
import { lanesOf } from '../../pipeline/band/lane.ts';
import { laneVolume } from '../../pipeline/band/pappus.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import { buildShape, checkShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { inspectMesh } from '../band/closed-mesh.ts';
import { wavyDesign } from '../band/designs.ts';
import { eachStone, solidFrom } from './bare-solid.ts';
import { commonVolume, LEAST_HOLD_MM3, leastHold } from './sound-set.ts';
import { SMALL, straightRowDesign, wavyRowDesign } from './stone-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

const bareSolid = (mesh: TriMesh) => solidFrom(kernel, mesh);

describe('plain lanes', () => {
  it('are manifolds of genus 1 to the boolean engine, with our volume', async () => {
    for (const { mesh, volumeMm3 } of (await buildShape(wavyDesign())).lanes) {
      const solid = bareSolid(mesh);
      expect(solid.status()).toBe('NoError');
      expect(solid.genus()).toBe(1);
      expect(solid.volume()).toBeCloseTo(volumeMm3, 3);
      solid.delete();
    }
  });
});

const top = { kind: 'arc', angleRad: 1.2 } as const;

describe.each([
  ['a straight row', straightRowDesign({ diameterMm: 2 }, SMALL), 0],
  ['a row on a wave', wavyRowDesign({}, SMALL), 1],
  ['a half row', straightRowDesign({ coverage: { kind: 'arc', angleRad: Math.PI } }, SMALL), 0],
  ['seats without claws', straightRowDesign({ setting: { style: 'none' }, coverage: top }), 0],
  ['stones proud of the metal', straightRowDesign({ setDepthMm: -0.05, coverage: top }), 0],
] as [string, ShapeDesign, number][])('%s', (_, design, laneIndex) => {
  let shape: BuiltShape;
  let lane: BuiltShape['lanes'][0];
  let lanes: Manifold[];
  beforeAll(async () => {
    shape = await buildShape(design, kernel);
    lane = shape.lanes[laneIndex];
    lanes = shape.lanes.map(({ mesh }) => bareSolid(mesh));
  });
  afterAll(() => {
    for (const solid of lanes) solid.delete();
  });

  it('leaves one closed manifold of genus 1 + one hole a stone (a torus with k through-holes has genus 1 + k)', () => {
    const solid = lanes[laneIndex];
    expect(solid.status()).toBe('NoError');
    const parts = solid.decompose();
    expect(parts).toHaveLength(1);
    expect(solid.genus()).toBe(1 + shape.rows[0].count);
    expect(solid.volume()).toBeCloseTo(lane.volumeMm3, 2);
    for (const part of parts) part.delete();
    expect(inspectMesh(lane.mesh).looseEdges).toBe(0);
  });

  it('has unit normals that agree with the triangles', () => {
    const report = inspectMesh(lane.mesh);
    expect(report.normalLengthError).toBeLessThan(1e-5);
    expect(report.leastCosine).toBeGreaterThan(0.8);
  });

  it('lets no stone touch metal or another stone', () => {
    const stones = eachStone(shape).map(bareSolid);
    for (const metal of lanes) expect(commonVolume(kernel, stones, metal)).toBeLessThan(1e-9);
    for (const [i, stone] of stones.entries()) {
      expect(stone.status()).toBe('NoError');
      const next = stones[(i + 1) % stones.length];
      if (next !== stone) expect(stone.minGap(next, 0.5)).toBeGreaterThan(shape.rows[0].gapMm - 1e-3);
    }
    for (const stone of stones) stone.delete();
  });

  it('takes away what the seats hold and adds what the claws add', () => {
    const before = laneVolume(lanesOf(design)[laneIndex]);
    const row = design.rows[0];
    // a seat holds at most the cylinder of its opening through the whole band
    const most = Math.PI * (row.diameterMm / 2 + 0.03) ** 2 * design.thicknessMm * shape.rows[0].count;
    const clawed =
      row.setting.style === 'none' ? 0 : Math.PI * 0.25 ** 2 * 0.4 * 2 * (shape.rows[0].count + 1);
    expect(lane.volumeMm3).toBeGreaterThan(before - most);
    expect(lane.volumeMm3).toBeLessThan(before + clawed);
  });
});

describe('seats', () => {
  it('have the volume of their cone, cylinder and hole', async () => {
    const row = { setting: { style: 'none' }, holeShare: 0.4, setDepthMm: 0.2 } as const;
    const shape = await buildShape(straightRowDesign(row, { chordToleranceMm: 0.004 }), kernel);
    const removed = laneVolume(lanesOf(straightRowDesign())[0]) - shape.lanes[0].volumeMm3;
    // one seat in a plate as thick as the band: cylinder, frustum, hole; the bands' roundness changes a few per cent
    const slope = Math.tan((40.75 * Math.PI) / 180);
    const [R, h, t] = [0.77, 0.3, 1.9];
    const top = -0.0225 - 0.02 * Math.hypot(1, slope) + 0.02 * slope;
    const foot = top - (R - h) * slope;
    const cone = (Math.PI * (R ** 3 - h ** 3) * slope) / 3;
    const one = Math.PI * R * R * (0.2 - top) + cone + Math.PI * h * h * (foot - (0.2 - t));
    expect(Math.abs(removed / shape.rows[0].count / one - 1)).toBeLessThan(0.03);
  });

  it('stop at the bearing when no hole is wanted: genus stays 1', async () => {
    const shape = await buildShape(
      straightRowDesign({ holeShare: 0, diameterMm: 1.2, coverage: top }),
      kernel,
    );
    const solid = bareSolid(shape.lanes[0].mesh);
    expect(solid.genus()).toBe(1);
    solid.delete();
  });

  it.each([0.005, 0.01, 0.02])(
    'have holes as narrow as %d of the girdle, with claws beside them',
    async (holeShare) => {
      // the claws' feet are trimmed by seats drawn in by 0.006 mm, which is more than half of the narrowest of these holes
      const coverage = { kind: 'arc', angleRad: 0.6 } as const;
      for (const row of [{}, { cut: 'princess', diameterMm: 1.2, lengthMm: 1.2 }] as const) {
        const setting = { style: 'shared-claws', clawDiameterMm: 0.48, clawHeightMm: 0.2 } as const;
        const design = straightRowDesign({ diameterMm: 1.2, setting, coverage, holeShare, ...row });
        const { rows, lanes } = await buildShape(design, kernel);
        const solid = bareSolid(lanes[0].mesh);
        expect(solid.genus()).toBe(1 + rows[0].count);
        solid.delete();
        expect(inspectMesh(lanes[0].mesh).looseEdges).toBe(0);
      }
    },
  );
});

describe('claws', () => {
  it('lean over both girdles, by at most a quarter of their diameter a side', async () => {
    const checks = await checkShape(wavyRowDesign(), kernel);
    const bites = checks.filter(({ rule }) => rule === 'claw-bite');
    expect(bites).toHaveLength(2);
    expect(bites.every(({ passed }) => passed)).toBe(true);
    expect(Number.parseFloat(bites[0].measured)).toBeGreaterThan(0.05);
  });

  it('hold every stone in: lifted along its axis it meets metal', async () => {
    const shape = await buildShape(straightRowDesign({ coverage: top }), kernel);
    const metal = bareSolid(shape.lanes[0].mesh);
    expect(leastHold(kernel, shape, metal, 0.06)).toBeGreaterThan(LEAST_HOLD_MM3);
    metal.delete();
  });
});
