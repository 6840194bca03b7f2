/** The film filter on films whose truth is a closed form: flat, ramp and edge, with noise of a known size. */
import { expect, it } from 'vitest';
import { applyFits, chooseFits, oneHand } from '../../pipeline/tracer/film-filter.ts';
import type { FilterGuide } from '../../pipeline/tracer/film-guide.ts';
import { filterModule } from '../../pipeline/tracer/filter-module.ts';
import { filterCrew } from '../../pipeline/tracer/filter-threads.ts';
import { FEATURES } from '../../pipeline/tracer/kernel/layout.ts';
import { WindowFits } from '../../pipeline/tracer/window-fits.ts';

const hand = oneHand(await WindowFits.create(await filterModule()));

const SIDE = 80;
const COUNT = SIDE * SIDE;

interface Truth {
  /** light at a pixel */
  light(x: number, y: number): number;
  /** shares of metal and of stone; what is left is ground */
  metal(x: number): number;
  stone?(x: number, y: number): number;
  /** height of metal's normal; 1 if absent */
  slope?(x: number): number;
}

/** Park–Miller minimal standard generator (Comm. ACM 31(10), 1988). */
function generator(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 16807) % 2147483647;
    return state / 2147483647;
  };
}

/** Films of two colourways, the second half as bright, whose halves have noise of standard deviation √2·sigma each. */
function noisy({ light, metal, stone = () => 0, slope = () => 1 }: Truth, sigma: number) {
  const random = generator(11);
  const normal = () => Math.sqrt(-2 * Math.log(random())) * Math.cos(2 * Math.PI * random());
  const guide: FilterGuide = {
    width: SIDE,
    height: SIDE,
    features: new Float32Array(COUNT * FEATURES),
    mean: new Float32Array(COUNT * 3),
    spread: new Float32Array(COUNT * 3),
  };
  const truth = new Float32Array(COUNT * 3);
  const film = new Float32Array(COUNT * 3);
  for (let p = 0; p < COUNT; p++) {
    const [x, y] = [p % SIDE, Math.floor(p / SIDE)];
    const s = stone(x, y);
    const m = metal(x) * (1 - s);
    guide.features.set([m, 1 - s - m, s, 0, m * slope(x), 0], p * FEATURES);
    for (let k = 0; k < 3; k++) {
      const [a, b] = [normal() * sigma, normal() * sigma];
      truth[3 * p + k] = light(x, y);
      film[3 * p + k] = truth[3 * p + k] + a;
      guide.mean[3 * p + k] = 0.75 * film[3 * p + k];
      guide.spread[3 * p + k] = 0.75 * b;
    }
  }
  return { guide, truth, films: [film, film.map((v) => v / 2)] };
}

async function filtered(truth: Truth, sigma: number) {
  const made = noisy(truth, sigma);
  const choice = await chooseFits(made.guide, hand);
  return { ...made, choice, out: await applyFits(made.guide, hand, choice, made.films) };
}

/** Root mean square and mean of a difference over pixels. */
function difference(a: Float32Array, b: Float32Array, where: (x: number, y: number) => boolean = () => true) {
  let [squares, sum, n] = [0, 0, 0];
  for (let i = 0; i < a.length; i++) {
    const p = Math.floor(i / 3);
    if (!where(p % SIDE, Math.floor(p / SIDE))) continue;
    squares += (a[i] - b[i]) ** 2;
    sum += a[i] - b[i];
    n++;
  }
  return { rms: Math.sqrt(squares / n), mean: sum / n };
}

const SIGMA = 0.05;

it.each([
  ['flat ground', { light: () => 0.5, metal: () => 0 }],
  ['a ramp over metal', { light: (x, y) => 0.2 + 0.006 * x + 0.003 * y, metal: () => 1 }],
] as [string, Truth][])('%s loses nine tenths of its noise and keeps its light', async (_, truth) => {
  const { out, truth: light } = await filtered(truth, SIGMA);
  const { rms, mean } = difference(out[0], light);
  expect(rms).toBeLessThan(SIGMA / 10);
  // the mean of 19,200 values of this noise is off by 0.0004 at a standard error
  expect(Math.abs(mean)).toBeLessThan(0.0012);
});

it('keeps an edge between metal and ground sharp, its mixed pixels too', async () => {
  const share = (x: number) => Math.min(1, Math.max(0, x - SIDE / 2 + 0.4));
  const edge: Truth = { light: (x) => 0.8 - 0.6 * share(x), metal: share };
  const { out, truth } = await filtered(edge, SIGMA);
  const near = difference(out[0], truth, (x) => Math.abs(x - SIDE / 2) <= 2);
  expect(near.rms).toBeLessThan(SIGMA / 3);
  expect(Math.abs(near.mean)).toBeLessThan(0.005);
});

it('does not smear what features do not tell: a step in the light stays', async () => {
  const step: Truth = { light: (x) => (x < SIDE / 2 ? 0.2 : 0.8), metal: () => 1 };
  const { out, truth } = await filtered(step, 0.01);
  // the noise itself there: nothing may come out far worse than it went in
  expect(difference(out[0], truth, (x) => Math.abs(x - SIDE / 2) <= 4).rms).toBeLessThan(0.02);
});

it('takes grain off smooth metal right beside an edge whose light no fit follows', async () => {
  const onEdge = (x: number) => Math.abs(x - SIDE / 2) <= 1;
  const edge: Truth = {
    light: (x, y) => (onEdge(x) ? 0.325 + (0.35 * ((7 * x + 13 * y) % 5)) / 4 : 0.5),
    metal: () => 1,
    slope: (x) => (onEdge(x) ? 0.5 : 1),
  };
  const { out, truth } = await filtered(edge, SIGMA);
  const beside = (x: number) => Math.abs(x - SIDE / 2) >= 4 && Math.abs(x - SIDE / 2) <= 9;
  expect(difference(out[0], truth, beside).rms).toBeLessThan(SIGMA / 5);
  // what is drawn on the edge stays as it was traced
  expect(difference(out[0], truth, onEdge).rms).toBeLessThan(1.25 * SIGMA);
});

it('takes off a pixel that is dark by chance in both halves, and keeps no grain round it', async () => {
  const { guide, truth, films } = noisy({ light: () => 0.5, metal: () => 1 }, SIGMA);
  const dark = 3 * (40 * SIDE + 40);
  for (let k = 0; k < 3; k++) {
    films[0][dark + k] = 0;
    // of a colourway as bright and one half as bright
    guide.mean[dark + k] = 0;
  }
  const [out] = await applyFits(guide, hand, await chooseFits(guide, hand), films.slice(0, 1));
  const near = (x: number, y: number) => Math.hypot(x - 40, y - 40) < 8;
  // 0.5 too dark, spread over the 64 pixels of the narrowest window, is 0.008
  expect(difference(out, truth, near).rms).toBeLessThan(0.015);
  for (let k = 0; k < 3; k++) expect(out[dark + k]).toBeGreaterThan(0.46);
});

it('leaves stones as they were traced, bit for bit', async () => {
  const stone = (x: number, y: number) => (Math.hypot(x - 40, y - 40) < 15 ? 1 : 0);
  const { out, films } = await filtered({ light: () => 0.5, metal: () => 1, stone }, SIGMA);
  let inside = 0;
  for (let p = 0; p < COUNT; p++) {
    if (!stone(p % SIDE, Math.floor(p / SIDE))) continue;
    inside++;
    for (let k = 0; k < 3; k++) expect(out[0][3 * p + k]).toBe(films[0][3 * p + k]);
  }
  expect(inside).toBeGreaterThan(500);
});

it('gives a film without noise back as it was', async () => {
  const { out, films } = await filtered({ light: (x) => 0.3 + 0.2 * Math.sin(x), metal: () => 1 }, 0);
  expect(out[0]).toEqual(films[0]);
});

it('treats colourways alike, together or one by one, and comes to the same bits each time', async () => {
  const truth: Truth = { light: (x) => 0.2 + 0.005 * x, metal: (x) => (x < 30 ? 0 : 1) };
  const { guide, films, choice, out } = await filtered(truth, SIGMA);
  const [alone] = await applyFits(guide, hand, choice, [films[1]]);
  expect(alone).toEqual(out[1]);
  // half the light, half of it filtered
  for (let i = 0; i < out[0].length; i++) expect(out[1][i]).toBeCloseTo(out[0][i] / 2, 5);
  expect((await filtered(truth, SIGMA)).out).toEqual(out);
});

it('comes to the same bits on one thread and on three', async () => {
  const { guide, films } = noisy(
    { light: (x, y) => 0.2 + 0.005 * x + 0.3 * Math.sin(y / 20), metal: (x) => (x < 30 ? 0 : 1) },
    SIGMA,
  );
  // several bands of rows: the film below itself, some times over
  const times = 5;
  const tall = <T extends Float32Array>(data: T) =>
    Float32Array.from({ length: data.length * times }, (_, i) => data[i % data.length]);
  const tower = {
    ...guide,
    height: SIDE * times,
    features: tall(guide.features),
    mean: tall(guide.mean),
    spread: tall(guide.spread),
  };
  const alone = await applyFits(tower, hand, await chooseFits(tower, hand), films.map(tall));
  const crew = await filterCrew(1e9, films.length, undefined, 3);
  try {
    const together = await applyFits(tower, crew.hands, await chooseFits(tower, crew.hands), films.map(tall));
    expect(together).toEqual(alone);
  } finally {
    await crew.close();
  }
  await expect(chooseFits(tower, crew.hands)).rejects.toThrow('ended');
});
