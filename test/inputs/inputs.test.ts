import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { badInputs } from './list.ts';
import { faultsOf, prepareFolder, tryHere } from './trial.ts';

const list = await badInputs();
const SHARE = Math.floor(list.length / 60);
const folder = mkdtempSync(join(tmpdir(), 'bandwright-inputs-'));
prepareFolder(folder);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

it('there are at least 500, each once', () => {
  expect(list.length).toBeGreaterThanOrEqual(500);
  expect(new Set(list.map((i) => JSON.stringify([i.args, Object.entries(i.files).map(String)]))).size).toBe(
    list.length,
  );
});

// `npm run test:inputs` tries all, with their memory, and a part of them as processes
it.each(list.filter((_, i) => i % SHARE === 7))('$group: $name', async (input) => {
  const answer = await tryHere(input, folder);
  expect(faultsOf({ ...answer, peak: 0 }), answer.said).toEqual([]);
});
