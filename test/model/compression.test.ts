import { getBounds } from '@gltf-transform/core';
import { beforeAll, describe, expect, it } from 'vitest';
import type { BuiltShape } from '../../pipeline/band/built-shape.ts';
import { colourwayLook } from '../../pipeline/facts/looks.ts';
import { buildGlb, glbIO, withoutDraco } from '../../pipeline/model/glb.ts';
import type { ColourwayLook } from '../../pipeline/model/look.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { config, planOf } from '../plan/workspace.ts';
import { validateGlb } from './validate-glb.ts';

let shape: BuiltShape;
let ways: ColourwayLook[];
const KINDS = ['meshopt', 'draco', 'none'] as const;
let glbs: Record<(typeof KINDS)[number], Uint8Array>;

beforeAll(async () => {
  // the template's own fineness: what a shop would publish
  const { plan } = await planOf(
    config({
      overrides: 'overrides: { rows: { crest: { diameter: 1.03 mm } } }',
      grid: 'grid: { size: [ISO 60], metal: [yellow-18, white-18], stone: [diamond] }',
    }),
  );
  shape = await buildShape(plan.shapes[plan.variants[0].shape], undefined, plan.limits);
  ways = plan.variants.map((v) => colourwayLook(v.sku, v.dress));
  const [meshopt, draco, none] = await Promise.all(KINDS.map((kind) => buildGlb(shape, ways, kind)));
  glbs = { meshopt, draco, none };
});

describe('a band of 60 stones or more', () => {
  it.each(KINDS)('is valid with %s, and small enough for the web', async (kind) => {
    expect(shape.rows[0].count).toBeGreaterThanOrEqual(60);
    const glb = glbs[kind];
    const report = await validateGlb(glb);
    expect(report.issues.filter((i) => i.severity === 'error' || i.severity === 'warning')).toEqual([]);
    // common practice of shops' viewers: under 3 MB as compressed, 150,000 triangles
    expect(report.triangles).toBeLessThan(150_000);
    if (kind !== 'none') expect(glb.length).toBeLessThan(3e6);
  });

  it('is as large with Draco as without, to a micrometre, and so is the copy of it for the page', async () => {
    const size = async (bytes: Uint8Array) => {
      const { min, max } = getBounds(
        (await (await glbIO(true)).readBinary(bytes)).getRoot().getDefaultScene()!,
      );
      return [...min, ...max];
    };
    const { draco, none } = glbs;
    const copy = await withoutDraco(draco);
    const plain = await size(none);
    for (const bytes of [draco, copy])
      (await size(bytes)).forEach((v, i) => {
        expect(Math.abs(v - plain[i])).toBeLessThan(1e-6);
      });
    expect(Buffer.from(copy).includes('KHR_draco')).toBe(false);
    expect((await validateGlb(copy)).clean).toBe(true);
    expect(await withoutDraco(copy)).toBe(copy);
  });
});
