import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { MODEL, viewerModel } from '../../pipeline/artefacts/model.ts';
import { buildGlb, glbIO } from '../../pipeline/model/glb.ts';
import { planWork } from '../../pipeline/run/work.ts';
import { ArtefactLost, ArtefactStore } from '../../pipeline/store/artefact-store.ts';
import { syntheticShape } from '../model/synthetic-shape.ts';
import { config, planOf } from '../plan/workspace.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-viewer-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const WAY = {
  name: 'a',
  alloys: [0, 1].map(() => ({ name: 'yellow', f0: [0.9, 0.7, 0.4] as const })),
  finishes: [0, 1].map(() => ({ name: 'polished', roughness: 0.1 })),
  bore: { name: 'polished', roughness: 0.1 },
  stones: [],
};

async function modelOf(glb: string) {
  const { plan } = await planOf(config({ outputs: `outputs: { glb: ${glb} }` }));
  return planWork(plan, { versions: {}, logos: new Map() }).pieces(MODEL)[0];
}

it('keeps the page’s copy of a Draco model, so that it is made once', async () => {
  const store = new ArtefactStore(folder);
  const model = await modelOf('{ compression: draco }');
  await store.put('model', model.key, await buildGlb(syntheticShape({ stones: 0 }), [WAY], 'draco'));
  const copy = Buffer.from(await viewerModel(store, model));
  const document = await (await glbIO()).readBinary(copy);
  expect(
    document
      .getRoot()
      .listExtensionsUsed()
      .map((e) => e.extensionName),
  ).not.toContain('KHR_draco_mesh_compression');
  // without the model nothing could be made of it
  await store.remove('model', model.key);
  expect(copy.equals(await viewerModel(store, model))).toBe(true);
  await store.remove('model', model.viewerKey!);
  await expect(viewerModel(store, model)).rejects.toThrow(ArtefactLost);
});

it('is the model itself where the viewer can read it', async () => {
  const store = new ArtefactStore(folder);
  const model = await modelOf('true');
  expect(model.viewerKey).toBeUndefined();
  await store.put('model', model.key, Buffer.from('as it is'));
  expect(Buffer.from(await viewerModel(store, model)).toString()).toBe('as it is');
});
