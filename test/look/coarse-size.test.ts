import { expect, it } from 'vitest';
import { CoarseSize } from '../../pipeline/look/reader/coarse-size.ts';

/** Size and samples after so many pictures, each taking ms by its paths. */
function settled(card: boolean, msOf: (paths: number) => number): CoarseSize {
  const coarse = new CoarseSize();
  for (let i = 0; i < 40; i++) coarse.took(msOf(coarse.pixels * coarse.samples), card);
  return coarse;
}

it('grows with the machine up to what a turning band needs', () => {
  // two cores, a million paths a second
  const slow = settled(false, (paths) => paths / 1000);
  expect([slow.pixels / 90_000, slow.samples]).toEqual([expect.closeTo(1, 2), 1]);
  const fast = settled(false, (paths) => paths / 1e6);
  expect([fast.pixels, fast.samples]).toEqual([320 * 320, 1]);
});

it('has a card spend what time is left on samples, and takes them back first', () => {
  // as measured on one card: 6 ms and 2 ms a sample of 480² pixels
  const coarse = settled(true, (paths) => 6 + paths / 115_200);
  expect([coarse.pixels, coarse.samples]).toEqual([480 * 480, 8]);
  coarse.took(40, true);
  expect([coarse.pixels, coarse.samples]).toEqual([480 * 480, 4]);
  const weak = settled(true, (paths) => paths / 3000);
  expect([weak.pixels / 99_000, weak.samples]).toEqual([expect.closeTo(1, 2), 1]);
});
