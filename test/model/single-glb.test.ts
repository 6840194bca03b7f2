import { describe, expect, it } from 'vitest';
import { colourwayLook } from '../../pipeline/facts/looks.ts';
import { buildGlb, type GlbCompression, glbIO } from '../../pipeline/model/glb.ts';
import { variantName } from '../../pipeline/model/names.ts';
import { singleGlb } from '../../pipeline/model/single-glb.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { validateGlb } from './validate-glb.ts';

const { plan } = await readPlan('configs/demo.yaml');
const key = plan.variants[0].shape;
const variants = plan.variants.filter((v) => v.shape === key);
const shape = await buildShape(plan.shapes[key]);
const looks = variants.map((v) => colourwayLook(v.sku, v.dress));
const ofAll = await buildGlb(shape, looks);

/** Primitives with what they wear: in a file of several colourways by its mappings, else by their own material. */
async function worn(glb: Uint8Array, draco: boolean) {
  const document = await (await glbIO(draco)).readBinary(glb);
  const root = document.getRoot();
  return {
    document,
    materials: root.listMaterials().length,
    wears: root
      .listMeshes()
      .flatMap((m) =>
        m
          .listPrimitives()
          .map((p) => [p.getMaterial()?.getName(), ...(p.getMaterial()?.getBaseColorFactor() ?? [])]),
      ),
    triangles: root
      .listMeshes()
      .flatMap((m) => m.listPrimitives().map((p) => (p.getIndices()?.getCount() ?? 0) / 3))
      .reduce((a, b) => a + b, 0),
  };
}

describe('a GLB of one colourway', () => {
  it.each<GlbCompression>(['meshopt', 'draco', 'none'])(
    'wears what a file made for it alone wears, without variants, clean by the Khronos validator (%s)',
    async (compression) => {
      const all = compression === 'meshopt' ? ofAll : await buildGlb(shape, looks, compression);
      expect(looks.length).toBeGreaterThan(1);
      for (const look of looks) {
        const one = singleGlb(all, variantName(look.name));
        const own = await buildGlb(shape, [look], compression);
        const draco = compression === 'draco';
        const [got, expected] = [await worn(one, draco), await worn(own, draco)];
        expect(got.wears).toEqual(expected.wears);
        expect(got.materials).toBe(expected.materials);
        expect(got.triangles).toBe(expected.triangles);
        expect(
          got.document
            .getRoot()
            .listExtensionsUsed()
            .map((e) => e.extensionName),
        ).not.toContain('KHR_materials_variants');
        // what viewers of shops take well (common practice)
        expect(one.length).toBeLessThan(3e6);
        expect(got.triangles).toBeLessThan(150_000);
      }
      const report = await validateGlb(singleGlb(all, variantName(looks[1].name)));
      expect(report.issues.filter((i) => i.severity === 'error' || i.severity === 'warning')).toEqual([]);
    },
  );

  it('shares its meshes with the file of all, byte for byte', async () => {
    const all = Buffer.from(ofAll);
    const one = Buffer.from(singleGlb(all, variantName(looks[0].name)));
    const rest = (b: Buffer) => b.subarray(20 + b.readUInt32LE(12));
    expect(rest(one).equals(rest(all))).toBe(true);
    expect(one.readUInt32LE(8)).toBe(one.length);
  });

  it('refuses a colourway that is not there, and names those that are', async () => {
    expect(() => singleGlb(ofAll, 'no-such')).toThrow(new RegExp(variantName(looks[0].name)));
  });
});
