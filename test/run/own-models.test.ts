import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Mesh, MeshStandardMaterial } from 'three';
import { USDLoader } from 'three/addons/loaders/USDLoader.js';
import { afterAll, expect, it } from 'vitest';
import type { RunEvent } from '../../pipeline/artefacts/events.ts';
import { catalogueSchema } from '../../pipeline/facts/catalogue-schema.ts';
import { makeCatalogue } from '../../pipeline/run/make.ts';
import { verifyCatalogue } from '../../pipeline/run/verifying.ts';
import { sha256 } from '../../pipeline/store/content-key.ts';
import type { Tracer } from '../../pipeline/tracer/tracer.ts';
import { ALLOYS } from '../../pipeline/trade/alloys.ts';
import { validateGlb } from '../model/validate-glb.ts';
import { planOf } from '../plan/workspace.ts';
import { greyTake } from './grey-take.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-own-models-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Grey films at once: what is tested here is everything but the light. */
const GREY: Tracer = { trace: greyTake, close: async () => {} };

const CONFIG = `
catalogue: own
title: Own “models”
workshop: Test bench
template: tideline
overrides: { chord-tolerance: 0.1 mm, rows: { crest: { coverage: 60 deg } } }
origins: { diamond: laboratory-grown }
grid: { size: [ISO 54], metal: [yellow-18, rose-18], stone: [diamond] }
pairs: [{ name: duo, when: { metal: yellow-18 }, partner: { size: ISO 60, stones: false } }]
shots: [front, pair]
frame: 16 px
outputs:
  images: [{ format: png, widths: [16] }]
  glb: GLB
  usdz: USDZ
sku: O-{metal}
`;

async function make(glb: string, usdz: string) {
  const { plan } = await planOf(CONFIG.replace('GLB', glb).replace('USDZ', usdz));
  const events: RunEvent[] = [];
  const result = await makeCatalogue(plan, {
    out: folder,
    openTracer: async () => GREY,
    report: (event) => events.push(event),
    signal: new AbortController().signal,
  });
  expect([...result.failed.values()]).toEqual([]);
  const text = (name: string) => readFileSync(join(folder, 'own', name), 'utf8');
  return {
    result,
    events,
    catalogue: catalogueSchema.parse(JSON.parse(text('catalogue.json'))),
    linked: JSON.parse(text('catalogue.jsonld')),
  };
}

const bytesOf = (file: string) => readFileSync(join(folder, 'own', file));

it('writes a GLB and a USDZ for every band, each in its own metal, and names them everywhere', async () => {
  const { catalogue, linked } = await make('{ each: true }', 'true');
  expect(catalogue.items.map((i) => i.sku)).toHaveLength(3);
  for (const { bands } of catalogue.items)
    for (const { sku, metals, ownModels = [] } of bands) {
      expect(ownModels.map((m) => m.format)).toEqual(['glb', 'usdz']);
      for (const { file, bytes, sha256: hash } of ownModels) {
        expect(file).toContain(`models/each/${sku}-`);
        expect(bytesOf(file)).toHaveLength(bytes);
        expect(sha256(bytesOf(file))).toBe(hash);
      }
      const { f0 } = ALLOYS.get(metals[0].alloy)!;
      const report = await validateGlb(bytesOf(ownModels[0].file));
      expect(report.issues.filter((i) => i.severity === 'error' || i.severity === 'warning')).toEqual([]);
      const usdz = new Uint8Array(bytesOf(ownModels[1].file)).buffer;
      let lanes = 0;
      new USDLoader().parse(usdz).traverse((object) => {
        if (!/^lane_/.test(object.name)) return;
        lanes++;
        const { color } = (object as Mesh).material as MeshStandardMaterial;
        color.toArray().forEach((v, i) => {
          expect(v).toBeCloseTo(Math.min(1, f0[i]), 5);
        });
      });
      expect(lanes).toBeGreaterThan(0);
    }
  const encodings = linked.hasVariant.map((v: { subjectOf: { encoding: object[] } }) => v.subjectOf.encoding);
  for (const encoding of encodings)
    expect(encoding.map((e: { encodingFormat: string }) => e.encodingFormat)).toEqual([
      'model/gltf-binary',
      'model/vnd.usdz+zip', // as registered with IANA
    ]);
});

it('does nothing the second time, and puts back what was lost', async () => {
  const { catalogue } = await make('{ each: true }', 'true');
  expect((await make('{ each: true }', 'true')).result.upToDate).toBe(true);
  const [gone] = catalogue.items[0].bands[0].ownModels!.map((m) => m.file);
  rmSync(join(folder, 'own', gone));
  expect((await verifyCatalogue(folder, 'own', { remove: false })).damage).toMatchObject([
    { file: gone, what: 'missing' },
  ]);
  await make('{ each: true }', 'true');
  expect(existsSync(join(folder, 'own', gone))).toBe(true);
  expect((await verifyCatalogue(folder, 'own', { remove: false })).damage).toEqual([]);
});

it('takes them away when they are asked for no more', async () => {
  const { catalogue } = await make('true', 'false');
  for (const { bands } of catalogue.items) for (const band of bands) expect(band.ownModels).toBeUndefined();
  expect(readdirSync(join(folder, 'own/models/each'))).toEqual([]);
  expect(catalogue.models).toHaveLength(2);
});
