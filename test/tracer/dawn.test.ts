/** The third host of the second engine: a process of Node with a card of its own, by the npm package `webgpu`. */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { CACHE_DIR } from '../../pipeline/store/installation.mjs';
import { hasDawn, openDawn } from '../../pipeline/tracer/dawn-process.ts';
import { embeddedBrowser } from '../../pipeline/tracer/embedded-browser.mjs';
import { createNodeTracer } from '../../pipeline/tracer/node-tracer.ts';
import { createTracerSession, type TracerSession } from '../../pipeline/tracer/session.ts';
import type { TraceResult, Tracer } from '../../pipeline/tracer/tracer.ts';
import { CLEAR, SCENES } from '../gpu/scenes.ts';
import { kernel } from './kernel-fixture.ts';

/** A driver that plays a graphics card comes with the embedded Chromium. */
const driver = join((await embeddedBrowser(CACHE_DIR))?.path ?? '', '../vk_swiftshader_icd.json');
const SOFTWARE = { ...process.env, VK_ICD_FILENAMES: driver };
/** No driver at all. */
const BARE = { ...process.env, VK_ICD_FILENAMES: '/nowhere.json' };
const SCENE = SCENES[CLEAR]();
const OPTIONS = { seed: 5, noiseTarget: 0, passCap: 8, filtered: true };

/** in this process, where films are the same bits as in a browser */
let cores: Pick<Tracer, 'trace'>;
let expected: TraceResult;

beforeAll(async () => {
  cores = createNodeTracer([await kernel()]);
  expected = await cores.trace(SCENE, OPTIONS);
});

test('a process without a card says so, answers, and its end is told', async () => {
  const dawn = await openDawn(BARE);
  expect(dawn.facts).toBeUndefined();
  expect(dawn.browser.connected).toBe(true);
  expect(await (await dawn.pages.open()).evaluate(() => true)).toBe(true);
  const told = new Promise<void>((resolve) => dawn.browser.once('disconnected', resolve));
  dawn.kill();
  await told;
  expect(dawn.browser.connected).toBe(false);
});

test('where Dawn has no card the cores trace, and the take says why', async () => {
  const said: string[] = [];
  const session = await createTracerSession({
    workers: 1,
    engine: 'webgpu',
    cardHost: 'node',
    env: BARE,
    onInstead: (why) => said.push(why),
  });
  try {
    const { by, films } = await session.trace(SCENE, OPTIONS);
    const instead = 'Dawn for Node has no graphics card to give';
    expect(by).toEqual({ engine: 'wasm-simd', instead });
    expect(said).toEqual([instead]);
    expect(films[0].data).toEqual(expected.films[0].data);
  } finally {
    await session.close();
  }
});

// `npm install --no-save webgpu` for these: nobody's dependency, as it is 137 MB
describe.skipIf(!hasDawn() || !existsSync(driver))('Dawn for Node by the processor', () => {
  let session: TracerSession;

  beforeAll(async () => {
    const settings = { workers: 1, engine: 'webgpu', cardHost: 'node', softwareCard: true } as const;
    session = await createTracerSession({ ...settings, env: SOFTWARE });
  });

  afterAll(() => session.close());

  test('films are the kernel’s but for rounding', async () => {
    const guide: Float32Array[] = [];
    const own: Float32Array[] = [];
    const into = (planes: Float32Array[]) => async (film: { data: Float32Array }, plane: number) => {
      planes[plane] = film.data.slice();
    };
    const b = await session.trace(SCENE, { ...OPTIONS, guide: true, onFilm: into(guide) });
    const a = await cores.trace(SCENE, { ...OPTIONS, guide: true, onFilm: into(own) });
    expect(b.by).toEqual({ engine: 'webgpu', adapter: expect.stringMatching(/swiftshader/i) });
    expect(b.paths).toBe(a.paths);
    expect(b.error).toBeCloseTo(a.error, 5);
    expect(guide.length).toBe(own.length);
    for (const [plane, data] of own.entries()) {
      const squares = data.reduce((all, x, i) => all + (x - guide[plane][i]) ** 2, 0);
      expect(Math.sqrt(squares / data.length)).toBeLessThan(1e-3);
    }
  });

  test('a take that is stopped ends, and the process serves the next', async () => {
    const facts = await session.card();
    expect(facts).toMatchObject({ host: 'Dawn for Node', facts: { software: true } });
    const stopped = new AbortController();
    const taking = session.trace(SCENE, { ...OPTIONS, passCap: 1 << 20, signal: stopped.signal });
    setTimeout(() => stopped.abort(), 1500);
    await expect(taking).rejects.toThrow(/abort|stopped/i);
    // and goes on with the next take
    expect((await session.trace(SCENE, OPTIONS)).by?.engine).toBe('webgpu');
  });
});
