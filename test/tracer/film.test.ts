import { describe, expect, test } from 'vitest';
import { pbrNeutral } from '../../pipeline/picture/tone.ts';
import { addBlock, measureRows, noteSeen, seenSquare, tileError } from '../../pipeline/tracer/film-error.ts';
import { filmState, meanFilm, TILE } from '../../pipeline/tracer/film-state.ts';
import { addSplit, splitUnit } from '../../pipeline/tracer/half-split.ts';
import { FEATURES } from '../../pipeline/tracer/kernel/layout.ts';
import { createNodeTracer } from '../../pipeline/tracer/node-tracer.ts';
import { nextBlock } from '../../pipeline/tracer/pass.ts';
import { closeTiles, filmError, MIN_SAMPLES } from '../../pipeline/tracer/stop-rule.ts';
import { labOf } from '../../pipeline/trade/colour-table.ts';
import { KernelHost } from './fake-kernel.ts';
import { numbers } from './kernel-fixture.ts';
import { fakeDome, smallScene } from './test-scene.ts';

const mean = 0.4;
const deviation = 0.1;
/**
 * What a small change of a grey is worth: by the slope of CIE lightness there (CIE 15: L* = 116 Y^⅓ − 16), after a blur of
 * σ = 1 px (amplitude 1/(2√π) of uncorrelated noise), as a share of L* 50's light.
 */
const shown = (grey: number) => ((116 / 3) * grey ** (-2 / 3)) / (2 * Math.sqrt(Math.PI)) / 22;

async function fakeTrace(options: {
  workers?: number;
  noiseTarget?: number;
  passCap?: number;
  seed?: number;
  size?: [number, number];
  colourways?: number;
  mean?: number;
}) {
  const [width, height] = options.size ?? [128, 128];
  const colourways = smallScene().colourways.slice(0, options.colourways ?? 1);
  const dome = fakeDome(options.mean ?? mean, deviation);
  const kernels = await Promise.all(Array.from({ length: options.workers ?? 1 }, () => KernelHost.create()));
  return createNodeTracer(kernels).trace(smallScene({ width, height, dome, colourways }), {
    seed: options.seed ?? 1,
    noiseTarget: options.noiseTarget ?? 0,
    passCap: options.passCap ?? 64,
  });
}

/** The same kernel with features of pixels that all show metal, or all a stone. */
async function seenTrace(shows: 'metal' | 'stone', filtered: boolean, noiseTarget: number, passCap: number) {
  const kernel = await KernelHost.create();
  const features = (_x: number, _y: number, w: number, h: number) =>
    Float32Array.from({ length: w * h * FEATURES }, (_, i) =>
      i % FEATURES === (shows === 'metal' ? 0 : 2) ? 1 : 0,
    );
  const scene = smallScene({ width: 64, height: 64, dome: fakeDome(mean, deviation) });
  const tracer = createNodeTracer([Object.assign(kernel, { features })]);
  return tracer.trace(scene, { seed: 1, noiseTarget, passCap, filtered });
}

/** Root mean square distance from the known mean. */
function trueError(data: Float32Array, truth: number): number {
  let squares = 0;
  for (const v of data) squares += (v - truth) ** 2;
  return Math.sqrt(squares / data.length);
}

describe('error estimate', () => {
  test('of a film that will be filtered counts what shows of it: of metal 1 / 1.6, of stones 1 / 1.2', async () => {
    const errorOf = async (shows: 'metal' | 'stone', filtered: boolean) =>
      (await seenTrace(shows, filtered, 0, 32)).error;
    const raw = await errorOf('metal', false);
    expect(await errorOf('stone', false)).toBe(raw);
    expect(await errorOf('metal', true)).toBeCloseTo(raw / 1.6, 12);
    expect(await errorOf('stone', true)).toBeCloseTo(raw / 1.2, 12);
    const target = raw / 2;
    const [less, more] = await Promise.all([true, false].map((f) => seenTrace('metal', f, target, 1024)));
    expect(less.paths).toBeLessThan(more.paths / 1.6);
  });

  test('a stone that fills little of a tile is judged by itself', () => {
    const film = filmState({ width: TILE, height: TILE, colourways: 1 });
    // a quarter of the pixels show a stone; there alone both halves differ
    const features = new Float32Array(TILE * TILE * FEATURES);
    const [a, b] = [1, -1].map((side) =>
      Float32Array.from({ length: TILE * TILE * 3 }, (_, i) => 0.4 + (i % (TILE * 3) < 12 ? side * 0.05 : 0)),
    );
    for (let p = 0; p < TILE * TILE; p++) features[p * FEATURES + (p % TILE < 4 ? 2 : 0)] = 1;
    noteSeen(film, 0, 0, TILE, features);
    addBlock(film, 0, 0, TILE, a, b);
    measureRows(film, 0, 0, TILE, 1, 1);
    // halves differ by 0.1: a standard error of 0.05 in each pixel of the stone
    expect(tileError(film, 0) / ((0.05 * shown(0.4)) / 1.2)).toBeCloseTo(1, 1);
  });

  // Independent samples of deviation s: the mean of N has the standard error s/√N.
  test.each([16, 64, 200])('matches the true standard error of %i samples within 2 %', async (passCap) => {
    const { error, passes, films } = await fakeTrace({ passCap });
    expect(passes).toBe(passCap);
    const theory = (deviation / Math.sqrt(passCap)) * shown(mean);
    expect(error / theory).toBeGreaterThan(0.98);
    expect(error / theory).toBeLessThan(1.02);
    const measured = trueError(films[0].data, mean) * shown(mean);
    expect(measured / theory).toBeGreaterThan(0.98);
    expect(measured / theory).toBeLessThan(1.02);
  });

  test('weighs halves of unlike size: an odd cap biases nothing', async () => {
    const { error } = await fakeTrace({ passCap: 7 });
    const theory = (deviation / Math.sqrt(7)) * shown(mean);
    expect(error / theory).toBeGreaterThan(0.96);
    expect(error / theory).toBeLessThan(1.06);
  });

  test('takes the noisiest colourway', async () => {
    // Colourway 1 is twice as bright with twice the noise: 2^⅓ times as visible.
    const { error } = await fakeTrace({ colourways: 2, mean: 0.3 });
    const theory = ((2 * deviation) / Math.sqrt(64)) * shown(0.6);
    expect(error / theory).toBeGreaterThan(0.97);
    expect(error / theory).toBeLessThan(1.03);
  });

  test('judges colours as CIELAB and CIE94 do, and lights as the display shows them', () => {
    const random = numbers(3);
    const lab = (rgb: readonly number[], neutral: boolean) => {
      const [r, g, b] = neutral ? pbrNeutral(rgb[0], rgb[1], rgb[2]) : rgb;
      return labOf([r, g, b]);
    };
    const compare = (colour: number[], step: number[], neutral: boolean) => {
      const near = lab(
        colour.map((c, k) => c - step[k] / 2),
        neutral,
      );
      const far = lab(
        colour.map((c, k) => c + step[k] / 2),
        neutral,
      );
      const [l, a, b] = near.map((v, k) => (v + far[k]) / 2);
      const chroma = Math.hypot(a, b);
      const dc = Math.hypot(far[1], far[2]) - Math.hypot(near[1], near[2]);
      const dh2 = (far[1] - near[1]) ** 2 + (far[2] - near[2]) ** 2 - dc * dc;
      expect(l).toBeGreaterThan(0);
      // CIE 116-1995, graphic arts
      const ours = Math.sqrt(
        (far[0] - near[0]) ** 2 + (dc / (1 + 0.045 * chroma)) ** 2 + dh2 / (1 + 0.015 * chroma) ** 2,
      );
      const [r, g, bl] = colour;
      return Math.sqrt(seenSquare(r, g, bl, step[0], step[1], step[2])) / ours;
    };
    for (let i = 0; i < 500; i++) {
      const colour = [0, 1, 2].map(() => 0.06 + 0.65 * random());
      const step = [0, 1, 2].map(() => 1e-3 * (random() - 0.5));
      const ratio = compare(colour, step, false);
      expect(Math.abs(ratio - 1)).toBeLessThan(0.02);
    }
    // greys up to twice paper white; the curve takes 0.04 off before it compresses
    for (const grey of [0.9, 1.2, 1.6, 2]) {
      const ratio = compare([grey, grey, grey], [1e-3, 1e-3, 1e-3], true);
      expect(ratio).toBeGreaterThan(0.75);
      expect(ratio).toBeLessThan(1.1);
    }
  });

  test('is infinite while one half is empty and zero without noise', () => {
    const film = filmState({ width: 4, height: 4, colourways: 1 });
    const block = new Float32Array(48).fill(0.5);
    addBlock(film, 0, 0, 4, block);
    measureRows(film, 0, 0, 4, 1, 0);
    expect(tileError(film, 0)).toBe(Number.POSITIVE_INFINITY);
    film.sum.fill(0);
    film.split.fill(0);
    addBlock(film, 0, 0, 4, block, block);
    measureRows(film, 0, 0, 4, 1, 1);
    expect(tileError(film, 0)).toBe(0);
    film.samples[0] = 2;
    expect([...meanFilm(film, 0)]).toEqual(Array(48).fill(0.5));
  });
});

test('differences of halves add up to within 1/128 of the largest channel a step', () => {
  const packed = new Int8Array(8);
  const far = [0, 0, 0];
  for (const step of [
    [0, 0, 0],
    [1e-20, 0, -1e-21],
    [0.3, -0.7, 0.001],
    [-1, 2, 127.6 / 128],
    [0, -1.3, 0.1],
    [65000, 3, -500],
    [-64999, 0, 0],
  ]) {
    addSplit(packed, 4, step[0], step[1], step[2]);
    const unit = splitUnit(packed, 4);
    const now = [4, 5, 6].map((i) => packed[i] * unit);
    const most = Math.max(...step.map((s, k) => Math.abs(far[k] + s)));
    for (let k = 0; k < 3; k++) {
      expect(Math.abs(now[k] - far[k] - step[k])).toBeLessThanOrEqual(most / 128);
      far[k] = now[k];
    }
  }
  expect([...packed.subarray(0, 4)]).toEqual([0, 0, 0, 0]);
});

describe('stop rule', () => {
  test('tiles stop at the target, neither far above it nor far below', async () => {
    const noiseTarget = 0.0109;
    const { films, error, passes } = await fakeTrace({ noiseTarget, passCap: 1000 });
    const reached = trueError(films[0].data, mean) * shown(mean);
    // s/√N is worth the target at N = 70; blocks of 32 may overshoot to 96.
    expect(reached).toBeLessThan(noiseTarget * 1.03);
    expect(reached).toBeGreaterThan(noiseTarget * 0.8);
    expect(Math.abs(error / reached - 1)).toBeLessThan(0.06);
    expect(passes).toBeLessThanOrEqual(128);
  });

  test('a tile waits for a neighbour that is more than twice too noisy, at corners too, not further', () => {
    const film = filmState({ width: 4 * TILE, height: 4 * TILE, colourways: 1 });
    film.samples.fill(MIN_SAMPLES);
    const errors = new Float64Array(16).fill(0.01);
    errors[0] = 0.05;
    expect(closeTiles(film, errors, 0.02, 1000)).toBe(4);
    expect([...film.open]).toEqual([1, 1, 0, 0, 1, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
    errors[0] = 0.03;
    expect(closeTiles(film, errors, 0.02, 1000)).toBe(1);
    expect(closeTiles(film, errors, 0.02, MIN_SAMPLES)).toBe(0);
  });

  // s/√N of the known noise, as it is shown: 0.0323 at 8 samples, 0.0228 at 16, 0.0161 at 32. Estimates of single tiles, of
  // 256 differences each, lie a tenth round about it.
  test.each([
    [0.5, 16],
    [0.0275, 16],
    [0.0195, 32],
  ])(
    'a take that asks for %d is judged at powers of two and ends after %i samples',
    async (noiseTarget, least) => {
      const { passes, error } = await fakeTrace({ noiseTarget, passCap: 1024 });
      expect(passes).toBe(least);
      expect(error).toBeLessThan(noiseTarget);
    },
  );

  test('no tile stops before the least number of samples, however quiet', () => {
    const film = filmState({ width: TILE, height: TILE, colourways: 1 });
    film.samples.fill(MIN_SAMPLES - 1);
    expect(closeTiles(film, filmError(film).tiles, 0.02, 1000)).toBe(1);
  });
});

test('blocks are powers of two on their own boundaries, and the cap cuts the last', () => {
  let samples = 0;
  const ends: number[] = [];
  while (samples < 1000) {
    const { from, middle, to } = nextBlock(samples, 1000);
    expect(from).toBe(samples);
    if (to < 1000) {
      expect(Math.log2(to - from) % 1).toBe(0);
      expect(from % (to - from)).toBe(0);
      expect(middle - from).toBe(to - middle);
    }
    ends.push(to);
    samples = to;
  }
  expect(ends.slice(0, 6)).toEqual([4, 8, 16, 32, 64, 96]);
  expect(ends.at(-1)).toBe(1000);
});

test('the same bits whatever the number of workers', async () => {
  const options = { noiseTarget: 0.0109, passCap: 200, size: [75, 53] as [number, number], colourways: 2 };
  const [one, two, seven] = await Promise.all([1, 2, 7].map((workers) => fakeTrace({ ...options, workers })));
  for (const other of [two, seven]) {
    expect(other.paths).toBe(one.paths);
    expect(other.error).toBe(one.error);
    other.films.forEach((film, c) => {
      expect(Buffer.from(film.data.buffer).equals(Buffer.from(one.films[c].data.buffer))).toBe(true);
    });
  }
  const otherSeed = await fakeTrace({ ...options, seed: 2 });
  expect(Buffer.from(otherSeed.films[0].data.buffer).equals(Buffer.from(one.films[0].data.buffer))).toBe(
    false,
  );
});

test('impossible options are refused before any work', async () => {
  await expect(fakeTrace({ passCap: 1 })).rejects.toThrow('passCap: expected a whole number of at least 2');
  await expect(fakeTrace({ noiseTarget: Number.NaN })).rejects.toThrow('noiseTarget');
  await expect(fakeTrace({ seed: -1 })).rejects.toThrow('seed');
});
