import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { unzipSync } from 'three/addons/libs/fflate.module.js';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { BuiltShape } from '../../pipeline/band/built-shape.ts';
import { boreRadius, wholeBand } from '../../pipeline/band/lane.ts';
import { outsideSurface } from '../../pipeline/band/outside.ts';
import { withPolishAllowance } from '../../pipeline/band/polish-allowance.ts';
import { radiusAt } from '../../pipeline/band/profile.ts';
import { castPart, labelName } from '../../pipeline/model/cast-part.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { bandDesign, wavyDesign } from '../band/designs.ts';
import { straightRowDesign } from '../setting/stone-designs.ts';
import { readStl } from './read-stl.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-cast-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const NONE = { shrinkage: 0, polishMm: 0 };

const READER = `
import sys, zipfile, xml.etree.ElementTree as E
z = zipfile.ZipFile(sys.argv[1])
assert z.testzip() is None
names = z.namelist()
t = E.fromstring(z.read('[Content_Types].xml')); r = E.fromstring(z.read('_rels/.rels'))
target = r[0].get('Target').lstrip('/')
m = E.fromstring(z.read(target)); n = {'c': 'http://schemas.microsoft.com/3dmanufacturing/core/2015/02'}
P = [tuple(float(v.get(k)) for k in 'xyz') for v in m.iter('{%s}vertex' % n['c'])]
T = [tuple(int(v.get(k)) for k in ('v1', 'v2', 'v3')) for v in m.iter('{%s}triangle' % n['c'])]
vol = sum(P[a][0]*(P[b][1]*P[c][2]-P[b][2]*P[c][1])+P[a][1]*(P[b][2]*P[c][0]-P[b][0]*P[c][2])+P[a][2]*(P[b][0]*P[c][1]-P[b][1]*P[c][0]) for a,b,c in T)/6
E2 = {}
for a,b,c in T:
    for u,v in ((a,b),(b,c),(c,a)):
        E2[(u,v)] = E2.get((u,v),0)+1
open_ = sum(1 for (u,v),k in E2.items() if k != 1 or E2.get((v,u)) != 1)
tr = [float(x) for x in m.find('c:build/c:item', n).get('transform').split()]
least = [min(p[k] for p in P)+tr[9+k] for k in range(3)]
import json; print(json.dumps(dict(unit=m.get('unit'), volume=vol, open=open_, least=least, description=[x.text for x in m.findall('c:metadata', n) if x.get('name')=='Description'][0])))
`;
const python = ['python3', 'python'].find((p) => spawnSync(p, ['-c', 'import zipfile']).status === 0);

function read3mf(data: Uint8Array) {
  const file = join(folder, 'part.3mf');
  writeFileSync(file, data);
  return JSON.parse(execFileSync(python ?? '', ['-c', READER, file], { encoding: 'utf8' })) as {
    unit: string;
    volume: number;
    open: number;
    least: number[];
    description: string;
  };
}

describe('parts for the caster', () => {
  it('hold a flat band as πw((r+t)² − r²) has it, closed, by another STL reader', async () => {
    const shape = await buildShape(bandDesign({ chordToleranceMm: 0.004 }));
    const { stl, volumeMm3 } = await castPart(shape, [0], 'band', NONE);
    const { volume, open } = readStl(stl);
    // trade handbook arithmetic: circumference 54, 4 by 1.6 mm, 377.77 mm³
    expect(volume).toBeCloseTo(377.77, 0);
    expect(Math.abs(volume / volumeMm3 - 1)).toBeLessThan(1e-5);
    expect(open).toBe(0);
    expect(Buffer.from(stl.subarray(0, 80)).toString('latin1')).toMatch(/^NO ALLOWANCE in file; mm; band/);
  });

  it.skipIf(!python)(
    'are 3MF packages that Python’s zipfile and XML reader find whole and manifold',
    async () => {
      const shape = await buildShape(straightRowDesign({ coverage: { kind: 'arc', angleRad: 0.6 } }));
      const allowances = { shrinkage: 0.015, polishMm: 0 };
      const { threeMf, volumeMm3 } = await castPart(shape, [0], 'A & <B>', allowances);
      const read = read3mf(threeMf);
      expect(read).toMatchObject({ unit: 'millimeter', open: 0 });
      // linear 1.5 % is 1.015³ in volume
      expect(Math.abs(read.volume / (volumeMm3 * 1.015 ** 3) - 1)).toBeLessThan(1e-5);
      for (const x of read.least) expect(Math.abs(x)).toBeLessThan(1e-5);
      expect(read.description).toBe(
        'INCLUDES +1.5% shrinkage, no polish; enlarged 1.5 % for shrinkage, no polishing allowance; mm; A & <B>',
      );
    },
  );

  it('unite neighbouring lanes of one alloy and keep lanes apart as pieces', async () => {
    const design = wavyDesign({ chordToleranceMm: 0.02 });
    const joined = await castPart(await buildShape(design), [0, 1], 'both', NONE);
    expect(joined.pieces).toBe(1);
    expect(readStl(joined.stl).open).toBe(0);
    const three = bandDesign({
      seams: [
        { kind: 'straight', atMm: -0.7 },
        { kind: 'straight', atMm: 0.7 },
      ],
      lanes: ['a', 'b', 'c'].map((name) => ({ name, recessMm: 0, softenMm: 0.15 })),
    });
    const outer = await castPart(await buildShape(three), [0, 2], 'rails', NONE);
    expect(outer.pieces).toBe(2);
    expect(readStl(outer.stl).open).toBe(0);
  });

  it('are the same bytes every time', async () => {
    const shape = await buildShape(bandDesign({ chordToleranceMm: 0.05 }));
    const [a, b] = [await castPart(shape, [0], 'x', NONE), await castPart(shape, [0], 'x', NONE)];
    expect(Buffer.from(a.threeMf).equals(Buffer.from(b.threeMf))).toBe(true);
    expect(Buffer.from(a.stl).equals(Buffer.from(b.stl))).toBe(true);
  });
});

describe('what a file says first', () => {
  const cases = [
    [{ shrinkage: 0.015, polishMm: 0.05 }, 'INCLUDES +1.5% shrinkage, +0.05 mm polish;'],
    [{ shrinkage: 0.015, polishMm: 0 }, 'INCLUDES +1.5% shrinkage, no polish;'],
    [{ shrinkage: 0, polishMm: 0.05 }, 'INCLUDES no shrinkage, +0.05 mm polish;'],
    [{ shrinkage: 0, polishMm: 0 }, 'NO ALLOWANCE in file;'],
    // the longest that a config can ask for
    [
      { shrinkage: 0.09875, polishMm: 0.275, uncastable: true },
      'INCLUDES +9.875% shrinkage, +0.275 mm polish; NOT FOR ORDINARY CASTING;',
    ],
  ] as const;

  let shape: BuiltShape;
  beforeAll(async () => {
    shape = await buildShape(bandDesign({ chordToleranceMm: 0.1 }));
  });

  it.each(cases)('%j: %s', async (allowances, words) => {
    const { stl, threeMf } = await castPart(shape, [0], 'tantalum, all, bore 17.19 mm', allowances);
    const header = Buffer.from(stl.subarray(0, 80)).toString('latin1');
    expect(header.startsWith(`${words} mm;`)).toBe(true);
    const xml = Buffer.from(unzipSync(threeMf)['3D/3dmodel.model']).toString();
    for (const name of ['Title', 'Description']) expect(xml).toContain(`<metadata name="${name}">${words}`);
    expect(xml).toContain(`type="model" name="${words}`);
  });

  it('is how names of files begin', () => {
    expect(cases.map(([allowances]) => labelName(allowances))).toEqual([
      'incl-1.5pct-shrinkage-0.05mm-polish',
      'incl-1.5pct-shrinkage-no-polish',
      'incl-no-shrinkage-0.05mm-polish',
      'no-allowance',
      'incl-9.875pct-shrinkage-0.275mm-polish-not-for-ordinary-casting',
    ]);
  });
});

describe('the polishing allowance', () => {
  it('offsets outside, bore and faces along their normals, and leaves stones where they are', async () => {
    const design = straightRowDesign(
      { coverage: { kind: 'arc', angleRad: 0.5 }, setDepthMm: 0.02 },
      { section: { name: 'court', domeMm: 0.3, comfortMm: 0.15, edgeMm: 0.2, boreEdgeMm: 0.15 } },
    );
    const shape = await buildShape(design);
    const grown = withPolishAllowance(design, 0.06, [shape.rows[0].count]);
    expect(boreRadius(grown)).toBeCloseTo(boreRadius(design) - 0.06, 12);
    expect(grown.widthMm).toBeCloseTo(design.widthMm + 0.12, 12);
    // distance between parallel arcs, measured from points of one to the centre of the other (closed form)
    for (const [before, after] of [
      [outsideSurface(design), outsideSurface(grown)],
      [wholeBand(design).bore, wholeBand(grown).bore],
    ].map((pair) => pair.map((surface) => surface(0)))) {
      const [{ curvature }] = before.pieces;
      const centre = radiusAt(before, 0) - before.facing / curvature;
      for (const z of [0, 0.5, 1.4])
        expect(Math.hypot(z, radiusAt(after, z) - centre) - 1 / curvature).toBeCloseTo(0.06, 9);
    }
    const cast = await buildShape(grown);
    expect(cast.rows[0].count).toBe(shape.rows[0].count);
    cast.rows[0].placements.forEach((x, i) => {
      expect(x).toBeCloseTo(shape.rows[0].placements[i], 9);
    });
    expect(cast.lanes[0].volumeMm3).toBeGreaterThan(shape.lanes[0].volumeMm3);
  });
});
