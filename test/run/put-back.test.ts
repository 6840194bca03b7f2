import { existsSync, mkdirSync, mkdtempSync, readdirSync, renameSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeEach, expect, it } from 'vitest';
import { makeCatalogue } from '../../pipeline/run/make.ts';
import { verifyCatalogue } from '../../pipeline/run/verifying.ts';
import { config, planOf } from '../plan/workspace.ts';
import { greyTake } from './grey-take.ts';

const out = mkdtempSync(join(tmpdir(), 'bandwright-put-back-'));
afterAll(() => rmSync(out, { recursive: true, force: true }));

const CONFIG = config({
  overrides: 'overrides: { chord-tolerance: 0.1 mm, rows: { crest: { coverage: third } } }',
  grid: 'grid: { size: [ISO 53], metal: [yellow-18], stone: [diamond] }',
  shots: 'shots: [front]',
  frame: 'frame: 16 px',
  outputs: 'outputs: { images: [{ format: png, widths: [16] }], glb: false }',
  sku: 'sku: B-{metal}',
});
const item = join(out, 'trial/B-Y18');
const retired = join(out, 'trial/.bandwright/retired');

async function make(signal = new AbortController().signal, onPlanned = () => {}) {
  const { plan } = await planOf(CONFIG);
  return makeCatalogue(plan, {
    out,
    openTracer: async () => ({ trace: greyTake, close: async () => {} }),
    report: ({ event }) => {
      if (event === 'planned') onPlanned();
    },
    signal,
  });
}

/** What a kill between the two renames of a replacement leaves: the old folder aside, none in place. */
beforeEach(async () => {
  await make();
  mkdirSync(retired, { recursive: true });
  renameSync(item, join(retired, 'B-Y18'));
});

it('the next run puts the old folder back before anything else, also if it gets no further', async () => {
  const stop = new AbortController();
  let there = false;
  const run = make(stop.signal, () => {
    there = existsSync(join(item, 'manifest.json'));
    stop.abort();
  });
  await expect(run).rejects.toThrow();
  expect(there).toBe(true);
  expect(readdirSync(retired)).toEqual([]);
  expect((await make()).upToDate).toBe(true);
});

it('so does verifying', async () => {
  const { damage } = await verifyCatalogue(out, 'trial', { remove: false });
  expect(damage).toEqual([]);
  expect(existsSync(item)).toBe(true);
});
