import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { recordPrivate } from '../../pipeline/run/private-record.ts';
import { verifyCatalogue } from '../../pipeline/run/verifying.ts';

const out = mkdtempSync(join(tmpdir(), 'bandwright-private-'));
afterAll(() => rmSync(out, { recursive: true, force: true }));

it('verifying names papers of the private folder that were altered or are missing, until they are written anew', async () => {
  const folder = join(out, 'lean-private');
  mkdirSync(join(folder, 'proofs'), { recursive: true });
  const pair = join(folder, 'proofs/pair-A.html');
  writeFileSync(join(folder, 'prices.csv'), 'price\n');
  writeFileSync(pair, 'a proof');
  writeFileSync(join(folder, 'notes of the workshop.txt'), 'not ours');
  await recordPrivate(join(out, 'lean'), ['prices.csv', 'pair-A.html']);
  const damage = async () => (await verifyCatalogue(out, 'lean', { remove: false })).damage;
  expect(await damage()).toEqual([]);
  writeFileSync(pair, 'another proof');
  rmSync(join(folder, 'prices.csv'));
  const file = (name: string) => `../lean-private/${name}`;
  const found = [
    { file: file('prices.csv'), what: 'missing', remove: file('prices.csv') },
    { file: file('proofs/pair-A.html'), what: 'altered', remove: file('proofs/pair-A.html') },
  ];
  expect(await damage()).toEqual(found);
  // a run that leaves the proof alone does not take the altered one for good
  writeFileSync(join(folder, 'prices.csv'), 'price\n');
  await recordPrivate(join(out, 'lean'), ['prices.csv']);
  expect(await damage()).toEqual(found.slice(1));
  await recordPrivate(join(out, 'lean'), ['pair-A.html']);
  expect(await damage()).toEqual([]);
});
