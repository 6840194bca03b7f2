import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Box3, type Mesh, type MeshPhysicalMaterial, Vector3 } from 'three';
import { USDLoader } from 'three/addons/loaders/USDLoader.js';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { BuiltShape } from '../../pipeline/band/built-shape.ts';
import { colourwayLook } from '../../pipeline/facts/looks.ts';
import type { ColourwayLook } from '../../pipeline/model/look.ts';
import { metalFactors } from '../../pipeline/model/materials.ts';
import { decodeUsdGeometry, encodeUsdGeometry, usdGeometry } from '../../pipeline/model/usd-geometry.ts';
import { buildUsdz } from '../../pipeline/model/usdz.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { meshVolume, syntheticShape, TORUS, TORUS_VOLUME } from './synthetic-shape.ts';

const WAY: ColourwayLook = {
  name: 'Yellow & white',
  alloys: [
    { name: '18k yellow', f0: [1.037, 0.728, 0.365] },
    { name: '18k white', f0: [0.68, 0.62, 0.56] },
  ],
  finishes: [
    { name: 'polished', roughness: 0.1 },
    { name: 'satin', roughness: 0.45 },
  ],
  bore: { name: 'polished', roughness: 0.1 },
  stones: [{ name: 'ruby', ior: 1.77, abbe: 72, absorption: [0.05, 1.2, 0.9] }],
};

async function usdzOf(shape: BuiltShape, way = WAY, title = 'A band “in” "two" tones'): Promise<Uint8Array> {
  return buildUsdz(decodeUsdGeometry(encodeUsdGeometry(await usdGeometry(shape))), way, title);
}

/** three.js' reader of USD, which shares no code with the writer. */
function parse(usdz: Uint8Array): Mesh[] {
  const group = new USDLoader().parse(new Uint8Array(usdz).buffer);
  group.updateMatrixWorld(true);
  const meshes: Mesh[] = [];
  group.traverse((object) => {
    if ((object as Mesh).isMesh) meshes.push(object as Mesh);
  });
  return meshes;
}

/** Steps round the band where nothing is measured of its metal. */
const COARSE = { around: 48 };

/** The metal alone, as it comes back. */
let metal: Mesh[];
beforeAll(async () => {
  metal = parse(await usdzOf(syntheticShape({ stones: 0 }), { ...WAY, stones: [] }));
});

const folder = mkdtempSync(join(tmpdir(), 'usdz-'));
afterAll(() => rmSync(folder, { recursive: true }));

/** Python's zipfile: method, flags, and where each file's data begins by its local header. */
const ZIP_READER = `
import json, struct, sys, zipfile
def read(path):
    raw = open(path, 'rb').read()
    with zipfile.ZipFile(path) as z:
        bad = z.testzip()
        files = []
        for i in z.infolist():
            name, extra = struct.unpack('<HH', raw[i.header_offset + 26:i.header_offset + 30])
            files.append({'name': i.filename, 'method': i.compress_type, 'flags': i.flag_bits, 'size': i.file_size,
                          'at': i.header_offset + 30 + name + extra})
    return {'bad': bad, 'files': files}
print(json.dumps([read(path) for path in sys.argv[1:]]))
`;
const hasPython = spawnSync('python3', ['--version']).status === 0;

describe('a USDZ of one colourway', () => {
  // USDZ File Format Specification 1.3: no compression, no encryption, 64-byte alignment, the layer first
  it.skipIf(!hasPython)('is a package as its specification asks, by Python’s zipfile', async () => {
    const paths: string[] = [];
    for (const title of ['A band', 'x'.repeat(61)]) {
      const path = join(folder, `band-${title.length}.usdz`);
      writeFileSync(path, await usdzOf(syntheticShape(COARSE), WAY, title));
      paths.push(path);
    }
    const found = JSON.parse(execFileSync('python3', ['-c', ZIP_READER, ...paths], { encoding: 'utf8' }));
    expect(found).toHaveLength(2);
    for (const { bad, files } of found) {
      expect(bad).toBeNull();
      expect(files.length).toBeGreaterThan(0);
      expect(files[0].name).toMatch(/\.usda$/);
      for (const { method, flags, at } of files) {
        expect(method).toBe(0);
        expect(flags & 1).toBe(0);
        expect(at % 64).toBe(0);
      }
    }
  });

  it('is a band of true size in metres, Y up, lowest point at y = 0', () => {
    const box = new Box3();
    for (const mesh of metal) box.expandByObject(mesh, true);
    const outer = (TORUS.ringMm + TORUS.tubeMm) / 1000;
    const step = outer / 32767 + 3e-6; // a step of the grid, and what leaning moves
    for (const [got, expected] of [
      [box.min, [-outer, 0, -0.001]],
      [box.max, [outer, 2 * outer, 0.001]],
    ] as const)
      got.toArray().forEach((v, i) => {
        expect(Math.abs(v - expected[i])).toBeLessThan(step);
      });
  });

  it('keeps the volume of the torus, 2πR·πr² by Pappus, within what leaning moves, and normals of unit length', () => {
    let volume = 0;
    for (const mesh of metal) {
      const geometry = mesh.geometry.clone().applyMatrix4(mesh.matrixWorld);
      const points = geometry.getAttribute('position');
      const index = geometry.index?.array ?? Uint32Array.from({ length: points.count }, (_, i) => i);
      volume += meshVolume(points.array, index) * 1e9;
      const normals = mesh.geometry.getAttribute('normal');
      for (let i = 0; i < normals.count; i += 7)
        expect(Math.hypot(normals.getX(i), normals.getY(i), normals.getZ(i))).toBeCloseTo(1, 3);
    }
    // chords of 256 × 24 steps alone lose about 1 %
    expect(Math.abs(volume / TORUS_VOLUME - 1)).toBeLessThan(0.02);
  });

  it('wears the metals of the GLB, and stones of their own colour', async () => {
    const meshes = parse(await usdzOf(syntheticShape(COARSE)));
    const worn = (name: RegExp) => {
      const mesh = meshes.find((m) => name.test(m.name));
      if (!mesh) throw new Error(`no mesh ${name} among ${meshes.map((m) => m.name)}`);
      return mesh.material as MeshPhysicalMaterial;
    };
    WAY.alloys.forEach((alloy, lane) => {
      const material = worn(new RegExp(`^lane_${lane + 1}_`));
      const { colour, roughness } = metalFactors(alloy, WAY.finishes[lane]);
      colour.forEach((v, i) => {
        expect(material.color.toArray()[i]).toBeCloseTo(v, 5);
      });
      expect(material.metalness).toBe(1);
      expect(material.roughness).toBeCloseTo(roughness, 5);
    });
    expect(worn(/^bore_2_/).roughness).toBeCloseTo(0.1, 5);
    const ruby = worn(/^stones_1_/);
    expect(ruby.metalness).toBeLessThan(1);
    expect(ruby.opacity).toBeLessThan(1);
    expect(ruby.ior).toBeCloseTo(1.77, 5);
    expect(ruby.color.r).toBeGreaterThan(2 * ruby.color.g);
  });

  it('has every stone where the row puts it', async () => {
    const [stones] = parse(await usdzOf(syntheticShape({ ...COARSE, stones: 12, stoneMm: 0.8 }))).filter(
      (m) => /^stones_/.test(m.name),
    );
    const geometry = stones.geometry.clone().applyMatrix4(stones.matrixWorld);
    const points = geometry.getAttribute('position');
    const middle = new Vector3(0, (TORUS.ringMm + TORUS.tubeMm + 0.4) / 1000, 0);
    const far = Array.from({ length: points.count }, (_, i) =>
      new Vector3().fromBufferAttribute(points, i).sub(middle).length(),
    );
    // octahedra of 0.8 mm whose centres lie on the outside: corners from 0.4 mm inside to 0.4 mm outside
    expect(1000 * Math.max(...far)).toBeCloseTo(TORUS.ringMm + TORUS.tubeMm + 0.4, 2);
    expect(1000 * Math.min(...far)).toBeCloseTo(TORUS.ringMm + TORUS.tubeMm - 0.4, 2);
  });

  it('gives the same bytes for the same input', async () => {
    const once = await usdzOf(syntheticShape(COARSE));
    const again = await usdzOf(syntheticShape(COARSE));
    expect(Buffer.from(once).equals(Buffer.from(again))).toBe(true);
  });

  it('measures what the demo’s band measures, in under 6 MB', async () => {
    const { plan } = await readPlan('configs/demo.yaml');
    const [variant] = plan.variants;
    const shape = await buildShape(plan.shapes[variant.shape]);
    const usdz = await usdzOf(shape, colourwayLook('a', variant.dress));
    const box = new Box3();
    for (const mesh of parse(usdz)) if (!/^stones/.test(mesh.name)) box.expandByObject(mesh, true);
    const size = box.getSize(new Vector3()).multiplyScalar(1000);
    expect(Math.abs(size.z - shape.widthMm)).toBeLessThan(0.005);
    // claws stand proud of the section
    const outside = shape.innerDiameterMm + 2 * shape.thicknessMm;
    expect(size.x).toBeGreaterThan(outside - 0.05);
    expect(size.x).toBeLessThan(outside + 0.7);
    expect(usdz.length).toBeLessThan(6e6);
  });
});
