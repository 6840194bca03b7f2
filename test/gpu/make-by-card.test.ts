/**
 * Takes and a whole catalogue by the software adapter that comes with Chromium: slow but true. It compiles for some ten seconds
 * in each take.
 */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { makeCatalogue } from '../../pipeline/run/make.ts';
import { GUIDE_PLANES } from '../../pipeline/tracer/film-guide.ts';
import { descendants } from '../../pipeline/tracer/process-tree.ts';
import { createTracerSession, type TracerSession } from '../../pipeline/tracer/session.ts';
import type { TraceResult, Tracer } from '../../pipeline/tracer/tracer.ts';
import { openTracer, optionsIn, tinyPlan } from '../farm/tiny.ts';
import { signal } from '../tracer/end-processes.ts';
import { CLEAR, plainScene, SCENES } from './scenes.ts';

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

const squares = (a: Float32Array, b: Float32Array) => a.reduce((all, x, i) => all + (x - b[i]) ** 2, 0);

function isGpuProcess(pid: number): boolean {
  try {
    return readFileSync(`/proc/${pid}/cmdline`, 'utf8').includes('--type=gpu-process');
  } catch {
    return false; // it just went
  }
}

test('a take by the card is the kernel’s, and so are its films and its guide as they are handed over: same paths, rounded otherwise; by cores in its place it is the kernel’s own', async () => {
  const scene = SCENES[CLEAR]();
  const handedOver = async (tracer: Tracer) => {
    const planes: Float32Array[] = [];
    const result = await tracer.trace(scene, {
      ...{ seed: 5, noiseTarget: 0, passCap: 8, guide: true },
      // what comes in is overwritten by what comes next
      onFilm: async ({ data }, plane) => void (planes[plane] = data.slice()),
    });
    return { ...result, planes };
  };
  const kernel = await handedOver(await openTracer());
  const byCard = await handedOver(card);
  expect(byCard.by).toEqual({ engine: 'webgpu', adapter: expect.stringContaining('swiftshader') });
  expect(byCard.paths).toBe(kernel.paths);
  expect(byCard.error).toBeCloseTo(kernel.error, 5);
  const films = scene.colourways.length + 1;
  expect(byCard.planes).toHaveLength(films + GUIDE_PLANES);
  for (const [plane, data] of kernel.planes.entries()) {
    const away = Math.sqrt(squares(data, byCard.planes[plane]) / data.length);
    // another seed differs by 1e-1; what pixels show may be another's where a ray meets an edge
    expect(away, `plane ${plane}`).toBeLessThan(plane < films ? 1e-5 : 0.05);
  }

  const byCores = await handedOver(refused);
  expect(byCores.by?.engine).toBe('wasm-simd');
  expect(byCores.by?.instead).toMatch(/graphics card/);
  expect(byCores.planes).toEqual(kernel.planes);
});

test('a catalogue of takes that the card traced and, where it refused, the cores', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'bandwright-card-'));
  try {
    const plan = await tinyPlan(folder);
    const kernel = await openTracer();
    const results: TraceResult[] = [];
    // who traced is what a session says of a card's takes and of those it refused; what was traced is tried above
    const tracer: Tracer = {
      engine: 'webgpu',
      trace: async (scene, options) => {
        const traced = await kernel.trace(scene, options);
        const by: TraceResult['by'] =
          results.length === 0
            ? { engine: 'webgpu', adapter: 'acme one' }
            : { engine: 'wasm-simd', instead: 'no memory on the graphics card' };
        results.push({ ...traced, by });
        return { ...traced, by };
      },
      close: async () => {},
    };
    const out = join(folder, 'out');
    const options = { ...optionsIn(out), tracedBy: 'webgpu' as const, openTracer: async () => tracer };
    const made = await makeCatalogue(plan, options);
    expect(made.failed.size).toBe(0);
    expect(results).toHaveLength(2);
    const { items } = JSON.parse(readFileSync(join(made.folder, 'catalogue.json'), 'utf8'));
    expect(items).toHaveLength(4);
    // what is there is not traced again, whoever has traced it
    await makeCatalogue(plan, options);
    expect(results).toHaveLength(2);
    // but is none of a run's that asked for the cores
    let traced = 0;
    const cores: Tracer = { ...kernel, trace: (...take) => kernel.trace(...take).finally(() => traced++) };
    await makeCatalogue(plan, { ...options, tracedBy: 'wasm-simd', openTracer: async () => cores });
    expect(traced).toBe(2);
  } finally {
    rmSync(folder, { recursive: true });
  }
});

test.runIf(process.platform === 'linux')(
  'a card that is lost in a take leaves it to the cores, which begin anew',
  async () => {
    const scene = plainScene();
    const options = { seed: 5, noiseTarget: 0, passCap: 96 };
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
