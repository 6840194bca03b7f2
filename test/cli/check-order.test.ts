import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { main } from '../../pipeline/cli/main.ts';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), 'check-'));
});
afterAll(() => rm(folder, { recursive: true }));

async function check(lines: string): Promise<string> {
  const file = path.join(folder, 'config.yaml');
  await writeFile(
    file,
    `catalogue: trial\ntitle: Trial\nworkshop: Trial bench\norigins: { diamond: natural }\nshots: [three-quarter]\n${lines}`,
  );
  let told = '';
  const write = (text: string) => {
    told += text;
  };
  const stream = { write, terminal: false, columns: 100 };
  await main(['check', file], { out: stream, err: { ...stream, write: () => {} } });
  return told;
}

it('tells a fault that several bands share once, with all of them', async () => {
  const told = await check(
    'template: tideline\noverrides: { rows: { crest: { set-depth: 1.2 mm } } }\ngrid: { size: [ISO 55], form: [{ label: One, slug: A, set: { width: 5 mm } }, { label: Two, slug: B, set: { width: 5.2 mm } }] }\n',
  );
  const [head, ...rest] = told.split('\n');
  expect(head).toBe('trial-ISO55-A, trial-ISO55-B  cannot be built (2 bands with the same fault)');
  expect(rest.filter((line) => line.includes('stone-buried'))).toHaveLength(1);
});

it('gives a row of several sizes one line with its total, and tells what has to be looked at first', async () => {
  const told = await check(
    'template: tideline\noverrides: { rows: { crest: { coverage: half, graduate: { to: 1.3 mm, step: 0.1 mm } } } }\ngrid: { size: [ISO 55] }\n',
  );
  const rows = told.split('\n').filter((line) => / ct in total/.test(line));
  expect(rows).toHaveLength(1);
  const [, count, sizes] = /(\d+) stones in row crest: ([^;]+);/.exec(rows[0]) ?? [];
  const each = [...sizes.matchAll(/(\d+) ×/g)].map(([, n]) => Number(n));
  expect(each.length).toBeGreaterThan(1);
  expect(each.reduce((sum, n) => sum + n, 0)).toBe(Number(count));
  const states = [...told.matchAll(/^ {2}(FAIL|warn|waiv|note|ok {2}) {2}/gm)].map(([, state]) => state);
  const first = states.indexOf('ok  ');
  expect(first).toBeGreaterThan(0);
  expect(new Set(states.slice(first))).toEqual(new Set(['ok  ']));
});
