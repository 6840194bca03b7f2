import { afterAll, beforeAll, expect, test } from 'vitest';
import { createTracerSession, type TracerSession } from '../../pipeline/tracer/session.ts';
import type { TraceResult } from '../../pipeline/tracer/tracer.ts';
import { TracerLost } from '../../pipeline/tracer/tracer-lost.ts';
import { CLEAR, SCENES } from '../gpu/scenes.ts';

const SCENE = SCENES[CLEAR]();
const OPTIONS = { seed: 5, noiseTarget: 0, passCap: 16 };

/** A busy machine may be late to open a page, which runs try again as well. */
async function tried<T>(trace: () => Promise<T>): Promise<T> {
  for (let left = 3; ; left--) {
    try {
      return await trace();
    } catch (error) {
      if (!(error instanceof TracerLost) || left === 0) throw error;
    }
  }
}

const planes = ({ films, matte }: TraceResult) => [...films, ...(matte ? [matte] : [])];

const squares = (a: Float32Array, b: Float32Array) => a.reduce((all, x, i) => all + (x - b[i]) ** 2, 0);

let cores: TracerSession;
let card: TracerSession;

beforeAll(async () => {
  cores = await createTracerSession({ workers: 1 });
  card = await createTracerSession({ workers: 1, engine: 'webgpu', softwareCard: true });
});

afterAll(async () => {
  await Promise.all([cores, card].map((session) => session.close()));
});

// the software adapter that comes with Chromium compiles for some ten seconds
test('the graphics card traces the kernel’s film: same paths, rounded otherwise', {
  timeout: 300_000,
}, async () => {
  const a = await cores.trace(SCENE, OPTIONS);
  const b = await tried(() => card.trace(SCENE, OPTIONS));
  expect(a.by).toEqual({ engine: 'wasm-simd' });
  expect(b.by).toEqual({ engine: 'webgpu', adapter: expect.stringContaining('swiftshader') });
  expect(b.paths).toBe(a.paths);
  // another seed differs by 1e-1
  for (const [plane, { data }] of planes(a).entries())
    expect(Math.sqrt(squares(data, planes(b)[plane].data) / data.length)).toBeLessThan(1e-5);
  expect(b.error).toBeCloseTo(a.error, 5);
});

test('what plays a graphics card is refused unless asked for, and the cores trace instead', {
  timeout: 120_000,
}, async () => {
  const refused = await createTracerSession({ workers: 1, engine: 'webgpu' });
  try {
    const { by, films } = await tried(() => refused.trace(SCENE, OPTIONS));
    expect(by?.engine).toBe('wasm-simd');
    expect(by?.instead).toMatch(/graphics card/);
    const { films: own } = await cores.trace(SCENE, OPTIONS);
    expect(films[0].data).toEqual(own[0].data);
  } finally {
    await refused.close();
  }
});
