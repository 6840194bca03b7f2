/** Sparks on films whose truth is a closed form: what one half of the samples alone saw goes, a glint stays. */
import { expect, it } from 'vitest';
import { applyFits, chooseFits, oneHand } from '../../pipeline/tracer/film-filter.ts';
import type { FilterGuide } from '../../pipeline/tracer/film-guide.ts';
import { filterModule } from '../../pipeline/tracer/filter-module.ts';
import { FEATURES } from '../../pipeline/tracer/kernel/layout.ts';
import { dimmed, sparkShares, withoutSparks } from '../../pipeline/tracer/sparks.ts';
import { WindowFits } from '../../pipeline/tracer/window-fits.ts';

const SIDE = 24;
const LIGHT = 0.25;
const AT = 10 * SIDE + 10;

/** Metal of even light, one pixel of which has other halves; all others differ by a twentieth, in turns up and down. */
function band(brighter: number, darker: number, stone = 0): FilterGuide {
  const count = SIDE * SIDE;
  const guide = {
    width: SIDE,
    height: SIDE,
    features: new Float32Array(count * FEATURES),
    mean: new Float32Array(count * 3).fill(LIGHT),
    spread: Float32Array.from(
      { length: count * 3 },
      (_, i) => (Math.floor(i / 3) % 2 === 0 ? 1 : -1) * LIGHT * 0.05,
    ),
  };
  for (let p = 0; p < count; p++) guide.features.set([1 - stone, 0, stone, 0, 1 - stone, 0], p * FEATURES);
  for (let k = 0; k < 3; k++) {
    guide.mean[3 * AT + k] = (brighter + darker) / 2;
    guide.spread[3 * AT + k] = (brighter - darker) / 2;
  }
  return guide;
}

it('takes a spark down to its brightest neighbour, and nothing else', () => {
  const guide = band(4, LIGHT);
  const kept = sparkShares(guide);
  expect(kept[AT]).toBeCloseTo(LIGHT / ((4 + LIGHT) / 2), 6);
  expect(kept.filter((share) => share !== 1)).toHaveLength(1);
  const calm = withoutSparks(guide, kept);
  for (let k = 0; k < 3; k++) {
    expect(calm.mean[3 * AT + k]).toBeCloseTo(LIGHT, 6);
    // the darker half stays as it was
    expect(calm.mean[3 * AT + k] - Math.abs(calm.spread[3 * AT + k])).toBeCloseTo(LIGHT, 6);
  }
  expect(dimmed(guide.mean, kept).every((v) => Math.abs(v - LIGHT) < 1e-6)).toBe(true);
});

it('leaves what both halves saw, what differs no more than its neighbours do, and stones', () => {
  expect(sparkShares(band(4.2, 3.8))[AT]).toBe(1);
  expect(sparkShares(band(LIGHT * 1.4, LIGHT * 0.9))[AT]).toBeLessThan(1);
  expect(sparkShares(band(LIGHT * 1.15, LIGHT))[AT]).toBe(1);
  expect(sparkShares(band(4, LIGHT, 0.5))[AT]).toBe(1);
});

it('lets no spark into a filtered film, and leaves mattes whole', async () => {
  const guide = band(4, LIGHT);
  const hand = oneHand(await WindowFits.create(await filterModule()));
  const choice = await chooseFits(guide, hand);
  const matte = new Float32Array(guide.mean.length).fill(1);
  const [film, whole] = await applyFits(guide, hand, choice, [guide.mean, matte], 1);
  expect(Math.max(...film)).toBeLessThan(LIGHT * 1.01);
  expect(Math.min(...whole)).toBeGreaterThan(0.999);
});
