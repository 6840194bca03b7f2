/** Films of a take by whichever engine made them: what serves a run, whose come first, and what is gone on with. */
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, beforeEach, expect, it } from 'vitest';
import type { RunEvent } from '../../pipeline/artefacts/events.ts';
import { FILM, type TakeWork } from '../../pipeline/artefacts/film.ts';
import type { Plan } from '../../pipeline/plan/plan.ts';
import { forecast } from '../../pipeline/run/forecast.ts';
import { type MakeOptions, makeCatalogue } from '../../pipeline/run/make.ts';
import { openWorkplace } from '../../pipeline/run/workplace.ts';
import type { EngineId, Tracer } from '../../pipeline/tracer/tracer.ts';
import { openPlayedCard, openTracer, optionsIn, tinyPlan } from '../farm/tiny.ts';

let folder: string;
let plan: Plan;
let out: string;
let count = 0;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'bandwright-engines-'));
  plan = await tinyPlan(folder, true);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));
beforeEach(() => {
  out = join(folder, `out-${count++}`);
});

/** One run. @returns how often it traced, and what it told */
async function make(tracedBy: EngineId, more: Partial<MakeOptions> = {}, before?: () => void) {
  let traced = 0;
  const events: RunEvent[] = [];
  const open = async (): Promise<Tracer> => {
    const tracer = await (tracedBy === 'webgpu' ? openPlayedCard() : openTracer());
    return {
      engine: tracedBy,
      trace: (scene, options) => {
        traced++;
        before?.();
        return tracer.trace(scene, options);
      },
      close: () => tracer.close(),
    };
  };
  const options = { ...optionsIn(out), tracedBy, openTracer: open, report: (e: RunEvent) => events.push(e) };
  const made = await makeCatalogue(plan, { ...options, ...more });
  const warnings = events.flatMap((e) => (e.event === 'warning' ? [e.message] : []));
  return { traced, warnings, events, made };
}

async function takeBy(engine: EngineId): Promise<TakeWork> {
  return (await openWorkplace(plan, out, { engine })).work.pieces(FILM)[0];
}

const tracedBy = () => {
  const { items } = JSON.parse(readFileSync(join(out, 'tiny/catalogue.json'), 'utf8'));
  return items.map(({ sku }: { sku: string }) => {
    const { item } = JSON.parse(readFileSync(join(out, 'tiny', sku, 'manifest.json'), 'utf8'));
    return item.shots.map((shot: { tracedBy: string }) => shot.tracedBy);
  });
};

it('has a run that names no engine take the films that are there', async () => {
  const first = await make('webgpu', { anyEngine: true });
  expect(first.traced).toBe(1);
  expect(first.events).toContainEqual({ event: 'engines', cpu: 0, gpu: 1 });
  expect(tracedBy()).toEqual([['gpu']]);
  const second = await make('wasm-simd', { anyEngine: true });
  expect(second.traced).toBe(0);
  expect(second.made.upToDate).toBe(true);
  expect((await forecast(plan, out)).takes.map(({ trace }) => trace)).toEqual([false]);
  // who names one gets its own
  expect((await make('wasm-simd')).traced).toBe(1);
  expect(tracedBy()).toEqual([['cpu']]);
  // and where both are there, each run stays by its own
  expect((await make('webgpu', { anyEngine: true })).traced).toBe(0);
  expect(tracedBy()).toEqual([['gpu']]);
});

it('traces by the engine of the run what another has left a record of and no films', async () => {
  await make('webgpu', { anyEngine: true });
  const { films, guide } = await takeBy('webgpu');
  const { store } = await openWorkplace(plan, out);
  for (const key of [...films, guide]) await store.remove('film', key);
  for (const key of await store.keys('picture')) await store.remove('picture', key);
  const { traced, made } = await make('wasm-simd', { anyEngine: true });
  expect([traced, made.failed.size]).toEqual([1, 0]);
  expect(tracedBy()).toEqual([['cpu']]);
});

it('keeps the films that were stored first, and says so', async () => {
  const { records, films } = await takeBy('wasm-simd');
  const { store } = await openWorkplace(plan, out);
  // a record without films stands for a machine that was faster
  let put: Promise<void> | undefined;
  const late = await make('wasm-simd', { anyEngine: true }, () => {
    put ??= store.put('film', records.webgpu, Buffer.from(JSON.stringify({ error: 0.1, passes: 4 })));
  });
  await put;
  expect(late.warnings.join()).toMatch(/another engine were stored meanwhile/);
  expect(await store.has('film', records['wasm-simd'])).toBe(false);
  expect(await store.has('film', films[0])).toBe(false);
});

it('begins anew what another engine has begun, says so, and clears it away when its own is stored', async () => {
  const { records } = await takeBy('webgpu');
  const begun = join(out, '.bandwright/checkpoints', records.webgpu);
  mkdirSync(join(out, '.bandwright/checkpoints'), { recursive: true });
  writeFileSync(begun, 'half a take');
  const { warnings, traced } = await make('wasm-simd', { anyEngine: true });
  expect(traced).toBe(1);
  expect(warnings.join()).toMatch(/another engine has begun/);
  expect(existsSync(begun)).toBe(false);
});
