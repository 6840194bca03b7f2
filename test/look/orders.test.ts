/** Orders as the page writes them, and the run that makes their proof. */
import { spawn } from 'node:child_process';
import { mkdir, readFile, rm, stat, writeFile } from 'node:fs/promises';
import path from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { orderName } from '../../pipeline/artefacts/proof-subject.ts';
import type { AskedEdit, EditAnswer, ProofRun } from '../../pipeline/look/contract.ts';
import { ProofRuns } from '../../pipeline/look/proof-run.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { draftPlan } from '../../pipeline/run/draft.ts';
import { type Looked, lookAt, PLAIN } from './look-config.ts';

const FIRST = { order: 'N-1', names: 'Two names', sku: 'trial-ISO53-4-A' };
let looked: Looked;
let table = '';

beforeEach(async () => {
  looked = await lookAt(PLAIN, false, (flags) => ['make', ...flags].join(' '));
  table = path.join(looked.folder, 'orders.csv');
});
afterEach(() => looked.close());

const exists = (file: string) =>
  stat(file).then(
    () => true,
    () => false,
  );

async function ask(change: AskedEdit): Promise<EditAnswer> {
  const { session } = looked;
  const { revision } = (await session.orders()) ?? {};
  const files = [...session.state.files, ...(revision ? [{ file: table, revision }] : [])];
  return session.edit({ sku: session.state.bands[0].sku, files, change });
}

const codes = (answer: EditAnswer) => (answer.done ? [] : answer.problems.map(({ code }) => code));
const write = (cells: Record<string, string>, line?: number) =>
  ask({ kind: 'order', cells, ...(line ? { line } : {}) });
const first = () => write({ ...FIRST, sku: looked.session.state.bands[0].sku });

describe('orders on the page', () => {
  it('begin a table and the line of the config that names it, and both go when that is taken back', async () => {
    expect(await first()).toMatchObject({ done: true, origin: { file: table, line: 2 } });
    const [{ sku }] = looked.session.state.bands;
    expect(await readFile(table, 'utf8')).toBe(`order,names,sku\nN-1,Two names,${sku}\n`);
    expect(await readFile(looked.file, 'utf8')).toBe(`${PLAIN}orders: orders.csv\n`);
    // names are for their owner alone
    if (process.platform !== 'win32') expect((await stat(table)).mode & 0o077).toBe(0);
    expect((await looked.session.orders())?.rows).toEqual([
      {
        line: 2,
        cells: { order: 'N-1', names: 'Two names', sku },
        commands: { draft: `make --only ${sku} --draft`, full: `make --only ${sku}` },
      },
    ]);
    expect(await ask({ kind: 'undo' })).toEqual({ done: true });
    expect([await exists(table), await readFile(looked.file, 'utf8')]).toEqual([false, PLAIN]);
    expect(await ask({ kind: 'redo' })).toEqual({ done: true });
    expect(await exists(table)).toBe(true);
  });

  it('are changed and removed by themselves', async () => {
    await first();
    await write({ 'engraving-1': 'always' }, 2);
    expect(await readFile(table, 'utf8')).toMatch(/^order,names,sku,engraving-1\nN-1,.*,always\n$/);
    await ask({ kind: 'no-order', line: 2 });
    expect(await readFile(table, 'utf8')).toBe('order,names,sku,engraving-1\n');
    expect(looked.session.state.problems).toEqual([]);
  });

  it('are refused where the plan would refuse them, and nothing is written', async () => {
    expect(codes(await write({ ...FIRST, sku: 'NO-SUCH' }))).toEqual(['not-in-catalogue']);
    expect(codes(await write({ order: '', names: 'Two names' }))).toContain('no-band');
    const [{ sku }] = looked.session.state.bands;
    // 60 letters in a bore of 53 mm, to the height that is usual, go more than once round
    const long = { ...FIRST, sku, 'engraving-1': 'W'.repeat(60) };
    expect(codes(await write(long)).length).toBeGreaterThan(0);
    expect([await exists(table), await readFile(looked.file, 'utf8')]).toEqual([false, PLAIN]);
    await first();
    expect(codes(await first())).toEqual(['duplicate-order']);
  });

  it('are refused over a table that changed, that nobody named, or where a page only looks', async () => {
    await writeFile(table, 'order,names,sku\n');
    expect(codes(await first())).toEqual(['orders-unnamed']);
    await rm(table);
    await first();
    const before = (await looked.session.orders())?.revision ?? '';
    await writeFile(table, `${await readFile(table, 'utf8')}\n`);
    const { session } = looked;
    const request = { sku: session.state.bands[0].sku, files: [{ file: table, revision: before }] };
    const late = await session.edit({ ...request, change: { kind: 'no-order', line: 2 } });
    expect(codes(late)).toEqual(['file-changed']);
    const only = await lookAt(PLAIN, true, () => '');
    expect(codes(await only.session.edit({ ...request, change: { kind: 'no-order', line: 2 } }))).toEqual([
      'read-only',
    ]);
    await only.close();
  });
});

describe('the run that makes a proof', () => {
  const runOf = (script: string, told: string[][] = []) =>
    new ProofRuns({
      told: () => '',
      start: (flags) => {
        told.push([...flags]);
        return spawn(process.execPath, ['-e', script], { stdio: ['ignore', 'pipe', 'pipe'] });
      },
      out: looked.folder,
    });
  const ended = (runs: ProofRuns) =>
    new Promise<ProofRun[]>((resolve) => {
      const seen: ProofRun[] = [];
      runs.onChange((run) => {
        seen.push(run);
        if (run.state !== 'running') resolve(seen);
      });
    });

  it('is told how far it is and where its papers lie', async () => {
    await first();
    const { plan } = await readPlan(looked.file);
    const proofs = path.join(looked.folder, `${plan.catalogue}-draft-private`, 'proofs');
    await mkdir(proofs, { recursive: true });
    const page = path.join(proofs, `${orderName(draftPlan(plan), plan.proofs!.orders[0])}.html`);
    await writeFile(page, '');
    const told: string[][] = [];
    const events = [
      { event: 'shape', done: 1, total: 1 },
      { event: 'take-start', index: 1, total: 2 },
      { event: 'take-done' },
      { event: 'proof', file: 'x' },
    ];
    const runs = runOf(
      events.map((e) => `console.log(${JSON.stringify(JSON.stringify(e))})`).join(';'),
      told,
    );
    const seen = ended(runs);
    expect(runs.start(plan, 2, true)).toBe(true);
    expect(runs.start(plan, 2, true)).toBe(false);
    const steps = (await seen).map(({ state, step, done }) => [state, step, done]);
    expect(steps).toEqual([
      ['running', 'begin', 0],
      ['running', 'solids', 1],
      ['running', 'pictures', 0],
      ['running', 'pictures', 1],
      ['running', 'papers', 0],
      ['done', 'papers', 0],
    ]);
    expect(runs.latest?.files).toEqual([page]);
    expect(told).toEqual([['--only', plan.variants[0].sku, '--draft', '--json']]);
  });

  it('says why it failed, and can be stopped', async () => {
    await first();
    const { plan } = await readPlan(looked.file);
    const failing = runOf('console.error("no room"); process.exit(1)');
    const failed = ended(failing);
    failing.start(plan, 2, false);
    expect((await failed).at(-1)).toMatchObject({ state: 'failed', why: 'no room' });
    const waiting = runOf('setTimeout(() => {}, 60000)');
    const stopped = ended(waiting);
    waiting.start(plan, 2, false);
    waiting.stop();
    expect((await stopped).at(-1)).toMatchObject({ state: 'stopped', why: '' });
    expect(waiting.start(plan, 3, false)).toBe(false);
  });
});
