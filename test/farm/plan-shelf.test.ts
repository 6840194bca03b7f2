import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { FILM } from '../../pipeline/artefacts/film.ts';
import { PICTURE } from '../../pipeline/artefacts/picture.ts';
import { shelvePlan, takeFromShelf } from '../../pipeline/farm/plan-shelf.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { openWorkplace } from '../../pipeline/run/workplace.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-shelf-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

it('holds nothing of the maker’s business: no rates, addresses, papers or shop, and no key of a plan to come', async () => {
  const { plan } = await readPlan(resolve(import.meta.dirname, '../../configs/couples.yaml'));
  expect(plan.price).toBeDefined();
  const toCome = { ...plan, ledger: 'Zinsfußwort' };
  const hash = await shelvePlan(toCome, folder);
  const text = readFileSync(join(folder, '.bandwright/farm', `${hash}.json`), 'utf8');
  const shelved = Object.keys(JSON.parse(text));
  for (const key of ['price', 'letterhead', 'proofs', 'shop', 'configFile', 'files', 'ledger'])
    expect(shelved).not.toContain(key);
  for (const word of ['perGram', 'markup', 'labour', 'Zinsfußwort', ...plan.letterhead.address])
    expect(text).not.toContain(word);
});

it('a plan with orders comes back with the same content keys, and no client’s words lie in the shared folder', async () => {
  const { plan } = await readPlan(resolve(import.meta.dirname, '../../configs/couples.yaml'));
  const orders = plan.proofs?.orders ?? [];
  const words = orders
    .flatMap(({ names, notes }) => [names, notes])
    .filter((w) => w !== undefined && w !== '');
  expect(words.length).toBeGreaterThan(1);

  const taken = await takeFromShelf(await shelvePlan(plan, folder), folder);
  const shelf = join(folder, '.bandwright/farm');
  const text = readdirSync(shelf)
    .map((name) => readFileSync(join(shelf, name), 'utf8'))
    .join('\n');
  for (const word of words) expect(text).not.toContain(word);

  const keys = async (of: typeof plan) => {
    const { pieces } = (await openWorkplace(of, folder)).work;
    const takes = pieces(FILM).map(({ record, films }) => ({ record, films }));
    return { takes, pictures: pieces(PICTURE).map((p) => p.key) };
  };
  expect(await keys(taken!)).toEqual(await keys(plan));
});
