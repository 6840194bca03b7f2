import {
  cpSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { RunEvent } from '../../pipeline/artefacts/events.ts';
import { armFaults } from '../../pipeline/fault-point.ts';
import type { Plan } from '../../pipeline/plan/plan.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { clearStore } from '../../pipeline/run/clearing.ts';
import { forecast } from '../../pipeline/run/forecast.ts';
import { type MakeOptions, makeCatalogue } from '../../pipeline/run/make.ts';
import { verifyCatalogue } from '../../pipeline/run/verifying.ts';
import type { TraceScene } from '../../pipeline/scene/trace-scene.ts';
import type { TraceOptions, TraceResult, Tracer } from '../../pipeline/tracer/tracer.ts';
import { TracerLost } from '../../pipeline/tracer/tracer-lost.ts';
import { greyTake } from './grey-take.ts';

const CONFIG = `
catalogue: tiny
title: Tiny
workshop: Test bench
template: plain-court
overrides: { chord-tolerance: 0.1 mm }
grid: { size: [ISO 52, ISO 58], metal: [yellow-18, platinum-950] }
shots: [three-quarter]
frame: [16 px, 16 px]
outputs:
  images: [{ format: png, widths: [16] }]
sku: T-{size}-{metal}
`;

let folder: string;
let plan: Plan;
/** of one band */
let single: Plan;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'bandwright-unattended-'));
  mkdirSync(join(folder, 'configs'));
  cpSync(resolve('templates'), join(folder, 'templates'), { recursive: true });
  plan = await planOf('tiny', CONFIG);
  const grid = 'grid: { size: [ISO 52], metal: [yellow-18] }';
  single = await planOf('single', CONFIG.replace(/grid: .*/, grid));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

async function planOf(name: string, config: string): Promise<Plan> {
  const file = join(folder, `configs/${name}.yaml`);
  writeFileSync(file, config);
  return (await readPlan(file)).plan;
}

type Fault = (scene: TraceScene, options: TraceOptions, call: number) => void;

/** Grey films at once, unless a fault is thrown. */
function tracer(fault: Fault = () => {}, print: () => Promise<Uint8Array> = async () => Buffer.from('%PDF')) {
  let call = 0;
  const made: Tracer = {
    trace: async (scene, options): Promise<TraceResult> => {
      fault(scene, options, ++call);
      return greyTake(scene, options);
    },
    print,
    close: async () => {},
  };
  return { made, calls: () => call };
}

async function make(out: string, made: Tracer, more: Partial<MakeOptions> = {}, of = plan) {
  const events: RunEvent[] = [];
  const result = await makeCatalogue(of, {
    out: join(folder, out),
    openTracer: async () => made,
    report: (e) => events.push(e),
    signal: new AbortController().signal,
    backoffMs: 1,
    ...more,
  });
  return { ...result, events };
}

const names = (events: RunEvent[]) => events.map((e) => e.event);
/** Fails every take of the shape that comes first. */
const firstShapeFails = (error: () => Error): Fault => {
  let eye: string | undefined;
  return (scene) => {
    eye ??= JSON.stringify(scene.camera.eye);
    if (JSON.stringify(scene.camera.eye) === eye) throw error();
  };
};

describe('a take that always fails', () => {
  it('is tried three times and left alone until it is asked for; the rest is completed', async () => {
    const failing = tracer(firstShapeFails(() => new Error('the kernel is lost')));
    const first = await make('q', failing.made);
    expect(failing.calls()).toBe(3 + 1);
    expect(names(first.events).filter((e) => e === 'take-retry')).toHaveLength(2);
    expect([...first.failed.keys()]).toEqual(['T-ISO52-Y18', 'T-ISO52-P950']);
    expect(first).toMatchObject({ made: 2, retriable: true });

    const told = await forecast(plan, join(folder, 'q'));
    expect(told.takes.map((t) => t.quarantined)).toEqual([true, false]);
    expect(told.takes[0].reason).toBe('in quarantine, tried 3 times: the kernel is lost');

    const healthy = tracer();
    const second = await make('q', healthy.made);
    expect(healthy.calls()).toBe(0);
    expect(second.failed.get('T-ISO52-Y18')).toContain('the kernel is lost');

    const third = await make('q', healthy.made, { retry: true });
    expect(healthy.calls()).toBe(1);
    expect(third).toMatchObject({ made: 4, retriable: false });
    expect(third.failed.size).toBe(0);
  });

  it('is tried again by itself when its config changes', async () => {
    const other = { ...plan, quality: { ...plan.quality, seed: plan.quality.seed + 1 } };
    await make('c', tracer(firstShapeFails(() => new Error('no'))).made);
    const told = await forecast(other, join(folder, 'c'));
    expect(told.takes.map((t) => t.quarantined)).toEqual([false, false]);
  });
});

it('a take that runs out of memory is tried with half the workers, then with a quarter', async () => {
  const reliefs: (number | undefined)[] = [];
  const { made } = tracer((_, { relief }, call) => {
    if (call > 3) return;
    reliefs.push(relief);
    if (call < 3) throw new TracerLost('out-of-memory', 'Array buffer allocation failed');
  });
  const result = await make('memory', made);
  expect(reliefs).toEqual([0, 1, 2]);
  expect(result.failed.size).toBe(0);
});

it('a print that fails costs its sheet and nothing else, and is made by the next run', async () => {
  const printed = { ...single, sheets: true };
  const broken = tracer(undefined, () => Promise.reject(new Error('no printer')));
  const first = await make('prints', broken.made, {}, printed);
  expect(first).toMatchObject({ made: 1, retriable: true });
  expect(first.failed.get('T-ISO52-Y18')).toBe('no print of its bench sheet: no printer');
  expect(readdirSync(join(folder, 'prints/tiny-private/sheets'))).toContain('T-ISO52-Y18-bench.html');
  const second = await make('prints', tracer().made, {}, printed);
  expect(second.failed.size).toBe(0);
  expect(readdirSync(join(folder, 'prints/tiny-private/sheets'))).toContain('T-ISO52-Y18-bench.pdf');
});

it('an artefact that is damaged is made again within the run that finds it', async () => {
  const first = tracer();
  await make('damage', first.made);
  const store = join(folder, 'damage/.bandwright/store');
  rmSync(join(folder, 'damage/tiny'), { recursive: true });
  const spoilt = files(store).filter((f) => f.startsWith('picture') || f.startsWith('film'));
  for (const file of spoilt) {
    const bytes = readFileSync(join(store, file));
    bytes[bytes.length - 1] ^= 1;
    writeFileSync(join(store, file), bytes);
  }
  const second = tracer();
  const result = await make('damage', second.made);
  expect(result.failed.size).toBe(0);
  expect(result.made).toBe(4);
  expect(second.calls()).toBe(2);
});

it('an interrupted run finishes what it stores and begins nothing more', async () => {
  const stop = new AbortController();
  const { made, calls } = tracer((_, __, call) => {
    if (call === 1) stop.abort();
  });
  await expect(make('stop', made, { signal: stop.signal })).rejects.toMatchObject({ name: 'AbortError' });
  expect(calls()).toBe(1);
  const again = tracer();
  const result = await make('stop', again.made);
  expect(result.made).toBe(4);
  // the take that was traced when the run was asked to end was kept
  expect(again.calls()).toBe(1);
});

describe('a disk that fills up', () => {
  it('ends the run with one clear problem at whichever write, and the next run completes it', async () => {
    const reference = files(await run('disk-reference'));
    const out = 'disk';
    let refused = 0;
    for (let nth = 1; nth < 100; nth++) {
      rmSync(join(folder, out), { recursive: true, force: true });
      let writes = 0;
      armFaults((point) => {
        if (point !== 'file.write' || ++writes !== nth) return;
        throw Object.assign(new Error('full'), { code: 'ENOSPC' });
      });
      const error = await run(out).then(
        () => undefined,
        (e) => e,
      );
      armFaults(undefined);
      if (writes < nth) break;
      refused++;
      expect(error?.problems?.[0], `write ${nth}`).toMatchObject({ code: 'output-not-writable' });
      expect(files(join(folder, out)).filter((f) => f.endsWith('.tmp'))).toEqual([]);
      // whatever a refused write leaves is made good in one way: every third is seen through
      if (nth % 3 === 1) expect(files(await run(out))).toEqual(reference);
    }
    // store, record, costs, listings, item: more than one place was tried
    expect(refused).toBeGreaterThan(15);

    async function run(name: string): Promise<string> {
      await makeCatalogue(single, {
        out: join(folder, name),
        openTracer: async () => tracer().made,
        report: () => {},
        signal: new AbortController().signal,
      });
      return join(folder, name, 'tiny');
    }
  });
});

describe('clearing and verifying', () => {
  it('clears what was used longest ago and nothing that a catalogue uses', async () => {
    const out = join(folder, 'clear');
    await make('clear', tracer().made);
    const other = { ...plan, catalogue: 'other', quality: { ...plan.quality, seed: 99 } };
    await makeCatalogue(other, {
      out,
      openTracer: async () => tracer().made,
      report: () => {},
      signal: new AbortController().signal,
    });
    const all = await clearStore(out, { keep: 1e9 });
    expect(all).toMatchObject({ removed: 0, used: all.before });
    // both stand: nothing may go
    expect(await clearStore(out, { keep: 0 })).toMatchObject({ removed: 0, after: all.before });
    rmSync(join(out, 'other'), { recursive: true });
    const half = await clearStore(out, { keep: all.before - 1 });
    expect(half.removed).toBe(1);
    const least = await clearStore(out, { keep: 0 });
    expect(least.after).toBe(least.used);
    expect(least.after).toBeGreaterThan(0);
    // what stayed is all that the catalogue needs
    const again = tracer();
    expect(await make('clear', again.made)).toMatchObject({ upToDate: true });
    expect(again.calls()).toBe(0);
  });

  it('clears nothing while it cannot know what is in use', async () => {
    const out = join(folder, 'untold');
    await make('untold', tracer().made);
    rmSync(join(out, '.bandwright/published'), { recursive: true });
    expect(await clearStore(out, { keep: 0 })).toMatchObject({ removed: 0, untold: ['tiny'] });
  });

  it('finds every kind of damage in a catalogue, and none in a sound one', async () => {
    const out = join(folder, 'verify');
    await make('verify', tracer().made);
    const tiny = join(out, 'tiny');
    const sound = await verifyCatalogue(out, 'tiny', { remove: false });
    expect(sound).toMatchObject({ damage: [], unfinished: false, store: { damaged: [] } });
    expect(sound.files).toBeGreaterThanOrEqual(files(tiny).filter((f) => !f.startsWith('.')).length);

    writeFileSync(join(tiny, 'T-ISO52-Y18/stray.txt'), '');
    writeFileSync(join(tiny, 'index.html'), 'spoilt');
    rmSync(join(tiny, 'T-ISO58-Y18/manifest.json'));
    rmSync(join(tiny, 'T-ISO58-P950/T-ISO58-P950-three-quarter-16.png'));
    const { damage } = await verifyCatalogue(out, 'tiny', { remove: true });
    expect(damage.map((d) => `${d.what} ${d.file}`).sort()).toEqual([
      'altered index.html',
      'left over T-ISO52-Y18/stray.txt',
      'missing T-ISO58-P950/T-ISO58-P950-three-quarter-16.png',
      'missing T-ISO58-Y18/manifest.json',
    ]);
    await make('verify', tracer().made);
    expect(await verifyCatalogue(out, 'tiny', { remove: false })).toMatchObject({ damage: [] });
  });
});

function files(root: string): string[] {
  return readdirSync(root, { recursive: true, encoding: 'utf8' }).filter((n) =>
    statSync(join(root, n)).isFile(),
  );
}
