import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { FILM } from '../../pipeline/artefacts/film.ts';
import { PICTURE } from '../../pipeline/artefacts/picture.ts';
import { Records } from '../../pipeline/artefacts/records.ts';
import { placeOf, surveyWork } from '../../pipeline/run/survey.ts';
import { artefactsOf, planWork } from '../../pipeline/run/work.ts';
import { ArtefactStore } from '../../pipeline/store/artefact-store.ts';
import type { ContentKey } from '../../pipeline/store/content-key.ts';
import { artefactKey } from '../../pipeline/store/content-key.ts';
import { config, planOf } from '../plan/workspace.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-records-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Counts what is read and how many questions are open at once. */
class Counted extends ArtefactStore {
  reads = 0;
  open = 0;
  most = 0;

  override async get(drawer: string, key: ContentKey) {
    this.reads++;
    return super.get(drawer, key);
  }

  override async has(drawer: string, key: ContentKey) {
    this.most = Math.max(this.most, ++this.open);
    const found = await super.has(drawer, key);
    this.open--;
    return found;
  }
}

const KEY = artefactKey('a record');
const decode = (bytes: Uint8Array) => JSON.parse(Buffer.from(bytes).toString()) as { n: number };

it('a record is read once, until what was read is forgotten; one that is absent is asked for again', async () => {
  const store = new Counted(folder);
  const records = new Records(store);
  expect(await records.get('solid', KEY, decode)).toBeUndefined();
  await store.put('solid', KEY, Buffer.from('{"n":1}'));
  for (let i = 0; i < 3; i++) expect(await records.get('solid', KEY, decode)).toEqual({ n: 1 });
  expect(store.reads).toBe(2);
  records.clear();
  await records.get('solid', KEY, decode);
  expect(store.reads).toBe(3);
});

it('a survey opens few files at once, and finds films missing only where something is made from them', async () => {
  const store = new Counted(join(folder, 'survey'));
  const slugs = Array.from({ length: 36 }, (_, i) => `ISO ${45 + i / 4}`);
  const { plan } = await planOf(config({ grid: `grid: { size: [${slugs.join(', ')}] }` }));
  const work = planWork(plan, { versions: {}, logos: new Map() });
  const empty = await surveyWork(work, store, {});
  expect(work.pieces(FILM).length).toBeGreaterThan(32);
  expect(store.most).toBeGreaterThan(1);
  expect(store.most).toBeLessThanOrEqual(32);
  expect(empty.takes.every((t) => t.trace)).toBe(true);
  expect(empty.missing(PICTURE)).toHaveLength(work.pieces(PICTURE).length);

  for (const name of artefactsOf(work)) {
    const [drawer, key] = placeOf(name);
    if (drawer !== 'fault') await store.put(drawer, key, Buffer.from('-'));
  }
  const [first, second] = work.pieces(FILM);
  for (const key of [...first.films, ...second.films]) await store.remove('film', key);
  const [picture] = work.pieces(PICTURE).filter((p) => p.take === second);
  await store.remove('picture', picture.key);
  const some = await surveyWork(work, store, {});
  expect(some.takes.filter((t) => t.trace).map((t) => t.work)).toEqual([second]);
  // one take alone, as a worker asks
  const one = await surveyWork(work, store, {}, second.record);
  expect(one.takes.map((t) => [t.work, t.trace])).toEqual([[second, true]]);
});
