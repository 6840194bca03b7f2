import { DOMParser, type Document, type Element } from '@xmldom/xmldom';
import { Box3, type Group, type Mesh } from 'three';
import { unzipSync } from 'three/addons/libs/fflate.module.js';
import { ThreeMFLoader } from 'three/addons/loaders/3MFLoader.js';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { BuiltShape, TriMesh } from '../../pipeline/band/built-shape.ts';
import { castPart } from '../../pipeline/model/cast-part.ts';
import { enlarged, partMesh } from '../../pipeline/model/part-mesh.ts';
import { write3mf } from '../../pipeline/model/three-mf.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { inspectMesh } from '../band/closed-mesh.ts';
import { bandDesign, wavyDesign } from '../band/designs.ts';
import { plainBand } from '../setting/marked-designs.ts';
import { straightRowDesign } from '../setting/stone-designs.ts';

/** Namespace of the 3MF Core Specification 1.3 (3mf.io/spec, ISO/IEC 25422), section 2.2. */
const CORE = 'http://schemas.microsoft.com/3dmanufacturing/core/2015/02';
const NONE = { shrinkage: 0, polishMm: 0 };

/** Documents that the loader had parsed, in order. */
let parsed: Document[] = [];

/** Strict XML by xmldom, with the two selectors of the DOM that three.js's loader asks for: names, and names within names. */
class StrictParser {
  parseFromString(text: string, type: string): Document {
    const document = new DOMParser({
      onError: (level, message) => {
        throw new Error(`${level}: ${message}`);
      },
    }).parseFromString(text, type);
    const selectors = {
      querySelectorAll(this: Element, names: string): Element[] {
        return names
          .split(' ')
          .reduce<Element[]>(
            (within, name) => within.flatMap((e) => [...e.getElementsByTagName(name)]),
            [this],
          );
      },
      querySelector(this: Element, name: string): Element | null {
        return this.getElementsByTagName(name)[0] ?? null;
      },
    };
    for (const node of [document, document.documentElement])
      Object.assign(Object.getPrototypeOf(node) as object, selectors);
    parsed.push(document);
    return document;
  }
}

beforeEach(() => {
  parsed = [];
  vi.stubGlobal('DOMParser', StrictParser);
});
afterEach(() => {
  vi.unstubAllGlobals();
});

function load(file: Uint8Array): { group: Group; meshes: Mesh[]; model: Element } {
  const data = file.buffer.slice(file.byteOffset, file.byteOffset + file.byteLength) as ArrayBuffer;
  const group = new ThreeMFLoader().parse(data);
  const meshes: Mesh[] = [];
  group.traverse((node) => {
    if ((node as Mesh).isMesh) meshes.push(node as Mesh);
  });
  const model = parsed.map((d) => d.documentElement!).find(({ localName }) => localName === 'model')!;
  return { group, meshes, model };
}

/** Points and triangles as the loader has them, before the build moves them: rounded anew, near points could become one. */
function meshOf({ geometry }: Mesh): TriMesh {
  const positions = geometry.getAttribute('position').array as Float32Array;
  return {
    positions,
    normals: new Float32Array(positions.length),
    indices: geometry.getIndex()!.array as Uint32Array,
  };
}

/** Volume by the divergence theorem, ∮ z dA_z: positive when facets look outwards. */
function volumeOf({ positions: p, indices }: TriMesh): number {
  let volume = 0;
  for (let t = 0; t < indices.length; t += 3) {
    const [a, b, c] = [0, 1, 2].map((k) => 3 * indices[t + k]);
    const area = ((p[b] - p[a]) * (p[c + 1] - p[a + 1]) - (p[c] - p[a]) * (p[b + 1] - p[a + 1])) / 2;
    volume += (area * (p[a + 2] + p[b + 2] + p[c + 2])) / 3;
  }
  return volume;
}

const INLAID = {
  widthMm: 6,
  thicknessMm: 2,
  seams: [
    { kind: 'wave' as const, atMm: -1.2, amplitudeMm: 0.3, periods: 5, sharpness: 0.2, phaseRad: 0 },
    { kind: 'straight' as const, atMm: 1 },
  ],
  lanes: [
    { name: 'near', recessMm: 0, softenMm: 0.1 },
    { name: 'strip', recessMm: 0.1, softenMm: 0.1, inlay: { depthMm: 0.8, bed: 'near' } },
    { name: 'far', recessMm: 0, softenMm: 0.1 },
  ],
};

const bandOf = (change: Parameters<typeof bandDesign>[0] = {}) =>
  buildShape(bandDesign({ chordToleranceMm: 0.02, ...change }));

describe('3MF files read by three.js’s loader over a strict XML parser', () => {
  const waved = (chordToleranceMm: number) => () => buildShape(wavyDesign({ chordToleranceMm }));
  it.each([
    ['a plain band', () => bandOf(), [0]],
    [
      'a band with seats and claws',
      () => buildShape(straightRowDesign({ coverage: { kind: 'arc', angleRad: 0.4 } })),
      [0],
    ],
    ['a band with beads', () => buildShape(plainBand({ edgeMilgrain: { beadMm: 1, pitchMm: 2 } })), [0]],
    ['two waved lanes of one alloy', waved(0.03), [0, 1]],
    ['the same, finer', waved(0.01), [0, 1]],
    ['an inlay’s bed and the lane beyond', () => bandOf(INLAID), [0, 2]],
  ] as [string, () => Promise<BuiltShape>, number[]][])(
    'hold %s whole: points and triangles as many as told, closed, of the facts’ volume, in millimetres',
    async (name, build, lanes) => {
      const shape = await build();
      const { threeMf, triangles, volumeMm3 } = await castPart(shape, lanes, name, NONE);
      const { meshes, model } = load(threeMf);
      expect([model.namespaceURI, model.getAttribute('unit')]).toEqual([CORE, 'millimeter']);
      expect(meshes.map((m) => m.name)).toEqual([`NO ALLOWANCE in file; ${name}`]);
      const mesh = meshOf(meshes[0]);
      const report = inspectMesh(mesh);
      // each edge has one triangle on either side (section 4.1 of the specification)
      expect(report.looseEdges).toBe(0);
      // a ring, with a hole under every stone: nothing is left inside, no slit along a seam, no speck
      const genus = 1 + shape.rows.reduce((sum, { count }) => sum + count, 0);
      expect(report.genus).toBe(genus);
      expect([mesh.indices.length / 3, report.triangles]).toEqual([triangles, triangles]);
      // Euler: V − E + F = 2 − 2g with E = 3F/2, so every point is there once and used
      expect(mesh.positions.length / 3).toBe(2 - 2 * genus + triangles / 2);
      const facts = lanes.reduce((sum, lane) => sum + shape.lanes[lane].volumeMm3, 0);
      expect(volumeMm3).toBe(facts);
      // lanes that were united overlap by what their triangles differ along the seam
      expect(Math.abs(volumeOf(mesh) / facts - 1)).toBeLessThan(lanes.length > 1 ? 1e-3 : 1e-5);
    },
  );

  it('give back every coordinate to the last bit of 32, and stand in the positive octant', async () => {
    const shape = await bandOf();
    const part = enlarged(await partMesh(shape, [0]), 0.013);
    const { group, meshes } = load(write3mf(part, { title: 'band', description: '' }));
    const { geometry } = meshes[0];
    expect(geometry.getAttribute('position').array).toEqual(Float32Array.from(part.positions));
    expect([...geometry.getIndex()!.array]).toEqual([...part.indices]);
    const { min, max } = new Box3().setFromObject(group);
    for (const low of min.toArray()) expect(Math.abs(low)).toBeLessThan(1e-5);
    // turning axis along z: as deep as the band is wide
    expect(max.z).toBeCloseTo(4 * 1.013, 5);
  });

  it('are larger by the shrinkage, 1 + s along every axis and cubed in volume', async () => {
    const shape = await bandOf();
    const { threeMf, volumeMm3 } = await castPart(shape, [0], 'band', { shrinkage: 0.02, polishMm: 0 });
    const mesh = meshOf(load(threeMf).meshes[0]);
    expect(volumeOf(mesh) / (volumeMm3 * 1.02 ** 3)).toBeCloseTo(1, 5);
    const radii = mesh.positions.filter((_, i) => i % 3 === 1).reduce((a, b) => Math.max(a, b));
    expect(radii).toBeCloseTo((54 / (2 * Math.PI) + 1.6) * 1.02, 5);
  });

  it('name each part as it was given, signs of XML and letters beyond ASCII among them', async () => {
    const shape = await buildShape(wavyDesign({ chordToleranceMm: 0.05 }));
    const names = ['Würth & Söhne <750> "gelb"', 'it’s 白金 ♥'];
    for (const [lane, name] of names.entries()) {
      const { threeMf } = await castPart(shape, [lane], name, NONE);
      parsed = [];
      const { meshes, model } = load(threeMf);
      expect(meshes.map((m) => m.name)).toEqual([`NO ALLOWANCE in file; ${name}`]);
      const metadata = [...model.getElementsByTagName('metadata')].map((m) => [
        m.getAttribute('name'),
        m.textContent,
      ]);
      expect(metadata).toContainEqual(['Title', `NO ALLOWANCE in file; ${name}`]);
      expect(volumeOf(meshOf(meshes[0])) / shape.lanes[lane].volumeMm3).toBeCloseTo(1, 5);
    }
  });

  it('name bodies of one alloy that lie apart each by its lanes, in one object that is built (3MF Core 1.3, 4.2)', async () => {
    const shape = await buildShape(
      bandDesign({
        chordToleranceMm: 0.05,
        seams: [
          { kind: 'wave', atMm: -0.7, periods: 1, amplitudeMm: 0.3, phaseRad: 0, sharpness: 0 },
          { kind: 'straight', atMm: 0.7 },
        ],
        lanes: ['near', 'middle', 'far'].map((name) => ({ name, recessMm: 0, softenMm: 0.15 })),
      }),
    );
    const { threeMf, volumeMm3 } = await castPart(shape, [0, 2], 'gold, near, far', NONE);
    const { meshes, model } = load(threeMf);
    const title = 'NO ALLOWANCE in file; gold, near, far';
    expect(meshes.map((m) => m.name)).toEqual([`near; ${title}`, `far; ${title}`]);
    const [near, far] = meshes.map(meshOf);
    for (const mesh of [near, far]) expect(inspectMesh(mesh).looseEdges).toBe(0);
    expect(volumeOf(near) / shape.lanes[0].volumeMm3).toBeCloseTo(1, 4);
    expect(volumeOf(far) / shape.lanes[2].volumeMm3).toBeCloseTo(1, 4);
    expect((volumeOf(near) + volumeOf(far)) / volumeMm3).toBeCloseTo(1, 4);
    const [item, ...more] = [...model.getElementsByTagName('item')];
    expect(more).toEqual([]);
    const whole = [...model.getElementsByTagName('object')].find(
      (o) => o.getAttribute('id') === item.getAttribute('objectid'),
    );
    expect(whole?.getAttribute('name')).toBe(title);
    expect(whole?.getElementsByTagName('component')).toHaveLength(2);
  });

  it('are packages of which each part has a type and whose one relationship leads to the model (OPC, ISO/IEC 29500-2)', async () => {
    const { threeMf } = await castPart(await bandOf(), [0], 'band', NONE);
    load(threeMf);
    const entries = unzipSync(threeMf);
    const [rels] = parsed
      .map((d) => d.documentElement!)
      .filter(({ localName }) => localName === 'Relationships');
    const [relation, ...more] = [...rels.getElementsByTagName('Relationship')];
    expect(more).toEqual([]);
    expect(relation.getAttribute('Type')).toBe(
      'http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel',
    );
    expect(Object.keys(entries)).toContain(relation.getAttribute('Target')!.slice(1));
    const types = new DOMParser().parseFromString(
      new TextDecoder().decode(entries['[Content_Types].xml']),
      'application/xml',
    );
    const known = [...types.getElementsByTagName('Default')].map((t) => t.getAttribute('Extension'));
    for (const name of Object.keys(entries).filter((n) => n !== '[Content_Types].xml'))
      expect(known).toContain(name.slice(name.lastIndexOf('.') + 1));
  });

  it('would tell: a triangle left out, one turned over, and a broken tag are all seen', async () => {
    const part = await partMesh(await bandOf({ chordToleranceMm: 0.1 }), [0]);
    const read = (change: Partial<typeof part>) =>
      meshOf(load(write3mf({ ...part, ...change }, { title: 'x', description: '' })).meshes[0]);
    expect(inspectMesh(read({})).looseEdges).toBe(0);
    expect(inspectMesh(read({ indices: part.indices.slice(3) })).looseEdges).toBe(3);
    const turned = part.indices.slice();
    [turned[0], turned[1]] = [turned[1], turned[0]];
    expect(inspectMesh(read({ indices: turned })).looseEdges).toBe(3);
    expect(() => new StrictParser().parseFromString('<model><mesh></model>', 'application/xml')).toThrow();
  });
});
