import { getBounds, type Node } from '@gltf-transform/core';
import type { Dispersion, IOR, MappingList, Transmission, Volume } from '@gltf-transform/extensions';
import { describe, expect, it } from 'vitest';
import { buildGlb, glbIO } from '../../pipeline/model/glb.ts';
import type { ColourwayLook, StoneLook } from '../../pipeline/model/look.ts';
import { meshVolume, syntheticShape, TORUS, TORUS_VOLUME } from './synthetic-shape.ts';
import { validateGlb } from './validate-glb.ts';

const DIAMOND: StoneLook = { name: 'Diamond', ior: 2.417, abbe: 55.3, absorption: [0, 0, 0] };
const RUBY: StoneLook = { name: 'Rubín', ior: 1.77, abbe: 72, absorption: [0.05, 1.2, 0.9] };
const POLISHED = { name: 'polished', roughness: 0.1 };
const SATIN = { name: 'satin', roughness: 0.45 };
const YELLOW = { name: '18k yellow', f0: [1.037, 0.728, 0.365] as const };
const WHITE = { name: '18k white', f0: [0.68, 0.62, 0.56] as const };

const WAYS: ColourwayLook[] = [
  {
    name: 'Yellow & white',
    alloys: [YELLOW, WHITE],
    finishes: [POLISHED, SATIN],
    bore: POLISHED,
    stones: [DIAMOND],
  },
  {
    name: 'Yellow',
    alloys: [YELLOW, YELLOW],
    finishes: [POLISHED, SATIN],
    bore: POLISHED,
    stones: [DIAMOND],
  },
  {
    name: '3 Weiß, Rubine',
    alloys: [WHITE, WHITE],
    finishes: [POLISHED, SATIN],
    bore: POLISHED,
    stones: [RUBY],
  },
];

const read = async (bytes: Uint8Array) => (await glbIO()).readBinary(bytes);
const worldPositions = (node: Node, primitive = 0) => {
  const m = node.getWorldMatrix();
  const accessor = node.getMesh()!.listPrimitives()[primitive].getAttribute('POSITION')!;
  const out: number[] = [];
  for (let i = 0; i < accessor.getCount(); i++) {
    const [x, y, z] = accessor.getElement(i, [] as number[]);
    for (let r = 0; r < 3; r++) out.push(m[r] * x + m[4 + r] * y + m[8 + r] * z + m[12 + r]);
  }
  return out;
};
const nodesNamed = (document: Awaited<ReturnType<typeof read>>, name: RegExp) =>
  document
    .getRoot()
    .listNodes()
    .filter((n) => name.test(n.getName()));

describe('a GLB of a shape', () => {
  it('passes the Khronos validator without errors or warnings, as written and decompressed', async () => {
    for (const shape of [syntheticShape(), syntheticShape({ stones: 0 })]) {
      const ways = shape.rows.length > 0 ? WAYS : WAYS.map((w) => ({ ...w, stones: [] }));
      const report = await validateGlb(await buildGlb(shape, ways));
      expect(report.issues.filter((i) => i.severity === 'error' || i.severity === 'warning')).toEqual([]);
      expect(report.clean).toBe(true);
    }
  });

  it('reports what is wrong with a spoilt one', async () => {
    const bytes = await buildGlb(syntheticShape({ stones: 0 }), [{ ...WAYS[0], stones: [] }]);
    const text = Buffer.from(bytes)
      .toString('latin1')
      .replace('"roughnessFactor":0.1', '"roughnessFactor":9.1');
    const report = await validateGlb(new Uint8Array(Buffer.from(text, 'latin1')));
    expect(report.clean).toBe(false);
    expect(report.issues.some((i) => i.severity === 'error')).toBe(true);
  });

  it('has true size in metres, stands on y = 0, finger axis along z', async () => {
    const document = await read(await buildGlb(syntheticShape({ stones: 0 }), [{ ...WAYS[0], stones: [] }]));
    const { min, max } = getBounds(document.getRoot().listScenes()[0]);
    const outer = (TORUS.ringMm + TORUS.tubeMm) / 1000;
    const step = outer / 32767;
    const expected = { min: [-outer, 0, -0.001], max: [outer, 2 * outer, 0.001] };
    for (let i = 0; i < 3; i++) {
      // the sweep's own chords stay within 1e-6 m of the torus
      expect(Math.abs(min[i] - expected.min[i])).toBeLessThan(step + 1e-6);
      expect(Math.abs(max[i] - expected.max[i])).toBeLessThan(step + 1e-6);
    }
  });

  it('keeps volume: lanes within 0.01 % of the solids, and those of Pappus’ 2πR·πr²', async () => {
    const shape = syntheticShape({ around: 512, across: 64, stones: 0 });
    const document = await read(await buildGlb(shape, [{ ...WAYS[0], stones: [] }]));
    let total = 0;
    for (const [i, node] of nodesNamed(document, /^lane_/).entries()) {
      // outside and bore are primitives of their own, and each shell's share of the divergence integral adds up
      const volume = node
        .getMesh()!
        .listPrimitives()
        .reduce(
          (sum, p, k) => sum + meshVolume(worldPositions(node, k), p.getIndices()!.getArray()!) * 1e9,
          0,
        );
      const solid = shape.lanes[i].mesh;
      expect(volume / meshVolume(solid.positions, solid.indices)).toBeCloseTo(1, 4);
      total += volume;
    }
    expect(total / TORUS_VOLUME).toBeCloseTo(1, 3);
  });

  it('parts the bore from the outside where their finishes differ, and wears the bore’s there', async () => {
    const document = await read(await buildGlb(syntheticShape({ stones: 0 }), [{ ...WAYS[0], stones: [] }]));
    const worn = nodesNamed(document, /^lane_/).map((n) =>
      n
        .getMesh()!
        .listPrimitives()
        .map((p) => p.getMaterial()!.getName()),
    );
    expect(worn).toEqual([['n_18k_yellow_polished'], ['n_18k_white_satin', 'n_18k_white_polished']]);
  });

  it('keeps normals to 0.05°', async () => {
    const document = await read(await buildGlb(syntheticShape({ stones: 0 }), [{ ...WAYS[0], stones: [] }]));
    let worst = 0;
    for (const node of nodesNamed(document, /^lane_/)) {
      const primitive = node.getMesh()!.listPrimitives()[0];
      const normals = primitive.getAttribute('NORMAL')!;
      const points = worldPositions(node);
      for (let i = 0; i < normals.getCount(); i++) {
        const n = normals.getElement(i, [] as number[]);
        const p = [
          points[3 * i] * 1000,
          points[3 * i + 1] * 1000 - TORUS.ringMm - TORUS.tubeMm,
          points[3 * i + 2] * 1000,
        ];
        const rho = Math.hypot(p[0], p[1]);
        if (Math.abs(p[2]) < 1e-3) continue; // the flat joint and its rim
        const radial = (rho - TORUS.ringMm) / TORUS.tubeMm;
        const true_ = [(p[0] / rho) * radial, (p[1] / rho) * radial, p[2] / TORUS.tubeMm];
        const dot = n[0] * true_[0] + n[1] * true_[1] + n[2] * true_[2];
        const cross = Math.hypot(
          n[1] * true_[2] - n[2] * true_[1],
          n[2] * true_[0] - n[0] * true_[2],
          n[0] * true_[1] - n[1] * true_[0],
        );
        worst = Math.max(worst, Math.atan2(cross, dot));
      }
    }
    expect((worst * 180) / Math.PI).toBeLessThan(0.05);
  });

  it('shares one stone mesh between nodes that stand where the row puts them', async () => {
    const shape = syntheticShape({ stones: 12 });
    const document = await read(await buildGlb(shape, WAYS));
    const stones = nodesNamed(document, /^stone_centre_row_/);
    expect(stones).toHaveLength(12);
    expect(new Set(stones.map((n) => n.getMesh())).size).toBe(1);
    const row = shape.rows[0];
    const lift = shape.lanes[0].mesh.positions.reduce(
      (low, v, i) => (i % 3 === 1 ? Math.min(low, v) : low),
      0,
    );
    const lowest = Math.min(lift, -(TORUS.ringMm + TORUS.tubeMm + row.stone.depthMm / 2));
    stones.forEach((node, i) => {
      const m = row.placements.subarray(12 * i, 12 * i + 12);
      const local = row.stone.mesh.positions;
      const world = worldPositions(node);
      let worst = 0;
      for (let v = 0; v < local.length; v += 3) {
        for (let r = 0; r < 3; r++) {
          const at =
            m[4 * r] * local[v] + m[4 * r + 1] * local[v + 1] + m[4 * r + 2] * local[v + 2] + m[4 * r + 3];
          worst = Math.max(worst, Math.abs(world[v + r] * 1000 - (r === 1 ? at - lowest : at)));
        }
      }
      expect(worst).toBeLessThan(1e-4);
    });
  });

  it('has one variant per colourway, each at most once in a primitive, and the first as default', async () => {
    const bytes = await buildGlb(syntheticShape(), WAYS);
    const json = JSON.parse(
      Buffer.from(bytes).toString('utf8', 20, 20 + Buffer.from(bytes).readUInt32LE(12)),
    );
    expect(json.extensions.KHR_materials_variants.variants.map((v: { name: string }) => v.name)).toEqual([
      'yellow_white',
      'yellow',
      '3_wei_rubine',
    ]);
    const document = await read(bytes);
    for (const mesh of document.getRoot().listMeshes()) {
      const primitive = mesh.listPrimitives()[0];
      const list = primitive.getExtension<MappingList>('KHR_materials_variants')!;
      const variants = list.listMappings().flatMap((m) => m.listVariants().map((v) => v.getName()));
      expect(variants.sort()).toEqual(['3_wei_rubine', 'yellow', 'yellow_white']);
      const first = list
        .listMappings()
        .find((m) => m.listVariants().some((v) => v.getName() === 'yellow_white'))!;
      expect(first.getMaterial()).toBe(primitive.getMaterial());
    }
  });

  it('gives metals F0 as linear base colour, clipped to 1, and stones their optics in metres', async () => {
    const document = await read(await buildGlb(syntheticShape({ stoneMm: 1.3 }), WAYS));
    const material = (name: string) =>
      document
        .getRoot()
        .listMaterials()
        .find((m) => m.getName() === name)!;
    expect(material('n_18k_yellow_polished').getBaseColorFactor()).toEqual([1, 0.728, 0.365, 1]);
    expect(material('n_18k_yellow_polished').getMetallicFactor()).toBe(1);
    expect(material('n_18k_white_satin').getRoughnessFactor()).toBe(0.45);
    const diamond = material('diamond');
    expect(diamond.getExtension<Transmission>('KHR_materials_transmission')!.getTransmissionFactor()).toBe(1);
    expect(diamond.getExtension<IOR>('KHR_materials_ior')!.getIOR()).toBe(2.417);
    // KHR_materials_dispersion: dispersion = 20 / V
    expect(diamond.getExtension<Dispersion>('KHR_materials_dispersion')!.getDispersion()).toBeCloseTo(
      20 / 55.3,
      12,
    );
    expect(diamond.getExtension<Volume>('KHR_materials_volume')!.getThicknessFactor()).toBeCloseTo(
      0.0013,
      12,
    );
    // Beer–Lambert over the depth of 1.3 mm, in place of a path that this stone without facets has not
    const ruby = material('rubin');
    ruby
      .getBaseColorFactor()
      .slice(0, 3)
      .forEach((c, i) => {
        expect(c).toBeCloseTo(Math.exp(-RUBY.absorption[i] * 1.3), 9);
      });
    const through = ruby.getExtension<Transmission>('KHR_materials_transmission')!.getTransmissionFactor();
    // nothing is mirrored in a stone without facets
    expect(through).toBe(1);
    expect(ruby.getExtension<Volume>('KHR_materials_volume')!.getAttenuationDistance()).toBe(
      Number.POSITIVE_INFINITY,
    );
  });

  it('names everything with a–z, 0–9, _ and - and is the same bytes every time', async () => {
    const bytes = await buildGlb(syntheticShape(), WAYS);
    const root = (await read(bytes)).getRoot();
    for (const thing of [
      ...root.listNodes(),
      ...root.listMeshes(),
      ...root.listMaterials(),
      ...root.listScenes(),
    ]) {
      expect(thing.getName()).toMatch(/^[a-z][a-z0-9_-]*$/);
    }
    expect(Buffer.from(await buildGlb(syntheticShape(), WAYS)).equals(Buffer.from(bytes))).toBe(true);
  });

  it('stays below 3 MB for 120 000 triangles and 40 stones (3D Commerce publishing target for phones)', async () => {
    const shape = syntheticShape({ around: 512, across: 56, stones: 40 });
    const bytes = await buildGlb(shape, WAYS);
    const { triangles } = await validateGlb(bytes);
    expect(triangles).toBeGreaterThan(120_000);
    expect(bytes.length).toBeLessThan(3_000_000);
  });

  it('refuses colourways that do not dress the shape or share a name', async () => {
    const shape = syntheticShape();
    await expect(buildGlb(shape, [])).rejects.toThrow(RangeError);
    await expect(buildGlb(shape, [{ ...WAYS[0], alloys: [YELLOW] }])).rejects.toThrow(/2 lanes/);
    await expect(buildGlb(shape, [WAYS[0], WAYS[0]])).rejects.toThrow(/distinct/);
  });
});
