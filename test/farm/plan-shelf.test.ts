import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { readPlan } from '../../pipeline/catalogue/read-plan.ts';
import { shelvePlan, takeFromShelf } from '../../pipeline/farm/plan-shelf.ts';
import { openWorkplace } from '../../pipeline/run/workplace.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-shelf-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

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
    const { takes } = (await openWorkplace(of, folder)).work;
    return takes.map((t) => ({ record: t.record, films: t.films, pictures: t.pictures.map((p) => p.key) }));
  };
  expect(await keys(taken!)).toEqual(await keys(plan));
});
