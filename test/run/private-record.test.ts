import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, dirname, join } from 'node:path';
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

it('nor is an altered part taken for good by a run that has no reason to write it', async () => {
  const folder = join(out, 'cast-private');
  const parts = [
    'proofs/no-allowance_titanium-order-0123456789abcdef-1.stl',
    'caster/no-allowance_yellow-18-abc.stl',
  ];
  for (const part of parts) {
    mkdirSync(dirname(join(folder, part)), { recursive: true });
    writeFileSync(join(folder, part), 'a part');
  }
  await recordPrivate(
    join(out, 'cast'),
    parts.map((part) => basename(part)),
  );
  for (const part of parts) writeFileSync(join(folder, part), 'A part');
  // of the same length and under the same key, so that publishing leaves it
  await recordPrivate(join(out, 'cast'), []);
  const { damage } = await verifyCatalogue(out, 'cast', { remove: false });
  expect(damage.map(({ file, what }) => [file, what])).toEqual(
    parts.map((part) => [`../cast-private/${part}`, 'altered']),
  );
});
