/**
 * Takes and a whole catalogue by the software adapter that comes with Chromium: slow but true. It compiles for some ten seconds
 * in each take.
 */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { RunEvent } from '../../pipeline/artefacts/events.ts';
import { makeCatalogue } from '../../pipeline/run/make.ts';
import { descendants } from '../../pipeline/tracer/process-tree.ts';
import { createTracerSession, type TracerSession } from '../../pipeline/tracer/session.ts';
import type { TraceResult, Tracer } from '../../pipeline/tracer/tracer.ts';
import { openTracer, optionsIn, tinyPlan } from '../farm/tiny.ts';
import { signal } from '../tracer/end-processes.ts';
import { CLEAR, SCENES } from './scenes.ts';

const SETTINGS = { workers: 1, engine: 'webgpu', cardHost: 'browser' } as const;
let card: TracerSession;
/** with a card that it refuses: a processor that plays one */
let refused: TracerSession;
const instead: string[] = [];

beforeAll(async () => {
  card = await createTracerSession({
    ...SETTINGS,
    softwareCard: true,
    onInstead: (why) => instead.push(why),
  });
  refused = await createTracerSession(SETTINGS);
});

afterAll(async () => {
  await Promise.all([card, refused].map((session) => session.close()));
});

const planes = ({ films, matte }: TraceResult) => [...films, ...(matte ? [matte] : [])];

const squares = (a: Float32Array, b: Float32Array) => a.reduce((all, x, i) => all + (x - b[i]) ** 2, 0);

function isGpuProcess(pid: number): boolean {
  try {
    return readFileSync(`/proc/${pid}/cmdline`, 'utf8').includes('--type=gpu-process');
  } catch {
    return false; // it just went
  }
}

test('a take by the card is the kernel’s: same paths, rounded otherwise; by cores in its place it is the kernel’s own', async () => {
  const scene = SCENES[CLEAR]();
  const options = { seed: 5, noiseTarget: 0, passCap: 8 };
  const kernel = await (await openTracer()).trace(scene, options);
  const byCard = await card.trace(scene, options);
  expect(byCard.by).toEqual({ engine: 'webgpu', adapter: expect.stringContaining('swiftshader') });
  expect(byCard.paths).toBe(kernel.paths);
  expect(byCard.error).toBeCloseTo(kernel.error, 5);
  expect(planes(byCard)).toHaveLength(scene.colourways.length + 1);
  // another seed differs by 1e-1
  for (const [plane, { data }] of planes(kernel).entries())
    expect(Math.sqrt(squares(data, planes(byCard)[plane].data) / data.length)).toBeLessThan(1e-5);

  const byCores = await refused.trace(scene, options);
  expect(byCores.by?.engine).toBe('wasm-simd');
  expect(byCores.by?.instead).toMatch(/graphics card/);
  for (const [plane, { data }] of planes(kernel).entries()) expect(planes(byCores)[plane].data).toEqual(data);
});

test('a catalogue whose takes were traced by the card and, where it refused, by the cores', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'bandwright-card-'));
  try {
    const plan = await tinyPlan(folder);
    const results: TraceResult[] = [];
    // every other take is left to the cores
    const tracer: Tracer = {
      engine: 'webgpu',
      trace: async (scene, options) => {
        const one = await (results.length % 4 === 0 ? card : refused).trace(scene, options);
        results.push(one);
        return one;
      },
      close: async () => {},
    };
    const out = join(folder, 'out');
    const events: RunEvent[] = [];
    const options = {
      ...optionsIn(out),
      tracedBy: 'webgpu' as const,
      openTracer: async () => tracer,
      report: (event: RunEvent) => events.push(event),
    };
    const made = await makeCatalogue(plan, options);
    expect(made.failed.size).toBe(0);
    expect(results.map(({ by }) => by?.engine)).toEqual(['webgpu', 'wasm-simd', 'wasm-simd', 'wasm-simd']);
    expect(results[1].by?.instead).toMatch(/graphics card/);
    const { items } = JSON.parse(readFileSync(join(made.folder, 'catalogue.json'), 'utf8'));
    expect(items).toHaveLength(4);
    // what is there is not traced again, whoever has traced it
    await makeCatalogue(plan, options);
    expect(results).toHaveLength(4);
  } finally {
    rmSync(folder, { recursive: true });
  }
});

test.runIf(process.platform === 'linux')(
  'a card that is lost in a take leaves it to the cores, which begin anew',
  async () => {
    const scene = SCENES['a picture of the sky']();
    const options = { seed: 5, noiseTarget: 0, passCap: 512 };
    let killed = 0;
    const onProgress = () => {
      // what a driver that starts anew does to Chromium: the process that holds the card ends
      if (killed > 0) return;
      const holders = descendants(process.pid).filter((pid) => isGpuProcess(pid));
      signal(holders, 'SIGKILL');
      killed = holders.length;
    };
    const { by, films, paths } = await card.trace(scene, { ...options, onProgress });
    expect(killed).toBeGreaterThan(0);
    expect(by?.engine).toBe('wasm-simd');
    expect(instead).toEqual([by?.instead]);
    // from its beginning: all paths are the cores'
    expect(paths).toBe(scene.width * scene.height * options.passCap);
    expect(films[0].data.every(Number.isFinite)).toBe(true);
  },
);
