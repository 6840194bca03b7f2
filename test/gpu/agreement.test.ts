/** The comparison of engines can fail: it is asked about films that agree and films that don't. */
import { expect, test } from 'vitest';
import { parkMiller } from '../park-miller.ts';
import { agreement } from './agreement.ts';

const SEEDS = 16;
const TILES = 2000;

/** Normal numbers by Box and Muller. */
function normals(seed: number): () => number {
  const uniform = parkMiller(seed);
  return () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
}

const films = (seed: number, bias = 1, noise = 0.01) => {
  const draw = normals(seed);
  return Array.from({ length: SEEDS }, () =>
    Float64Array.from({ length: TILES }, () => 0.5 * bias * (1 + noise * draw())),
  );
};

test('films that differ by noise alone agree: t has the variance that Student’s has', () => {
  const kernel = films(11);
  const { meanT2, worstT, tests, tileSame, wholeOther } = agreement(kernel, kernel, films(12));
  expect(tests).toBe(TILES);
  // ν / (ν − 2) of 30 degrees of freedom
  expect(Math.abs(meanT2 - 30 / 28)).toBeLessThan(0.15);
  expect(worstT).toBeLessThan(5.5);
  expect(tileSame).toBe(0);
  expect(Math.abs(wholeOther)).toBeLessThan(2e-4);
});

test('a bias of 0.5 % that hides in a tile’s noise shows in the mean of t² and in the frame', () => {
  const kernel = films(11);
  const biased = agreement(kernel, kernel, films(12, 1.005));
  expect(biased.meanT2).toBeGreaterThan(2);
  expect(biased.wholeOther).toBeCloseTo(0.005, 3);
});

test('one tile that is wrong shows in the largest t', () => {
  const kernel = films(11);
  const wrong = films(12);
  for (const film of wrong) film[77] *= 1.03;
  const { worstT, tileOther } = agreement(kernel, wrong, wrong);
  expect(worstT).toBeGreaterThan(6);
  expect(tileOther).toBeGreaterThan(0.02);
});
