/**
 * How much work a take is, from its plan alone: samples × processor time of a sample. A tile is given samples until the
 * error of its mean falls to the noise target, which is inverse to the root of their number; so it needs variance / noise²
 * of them, at least MIN_SAMPLES and at most the pass cap. How much one sample varies differs from tile to tile: bare
 * ground hardly, stones most. So a take is told by a spread of variances, and not by one.
 */
import type { TakePlan } from '../plan/plan.ts';
import { nextBlock } from '../tracer/pass.ts';
import { MIN_SAMPLES } from '../tracer/stop-rule.ts';
import { firstGuess, type TakeLaw, type TakeTraits } from './first-guesses.ts';

/** Share of a path's cost that each further colourway adds; measured with `colourways` of the bench. */
const COLOURWAY_SHARE = 0.03;

export function traitsOf({ shot, optics }: TakePlan): TakeTraits {
  return { view: shot.view, ground: shot.ground.kind, stones: optics.some((sorts) => sorts.length > 0) };
}

export const pixelsOf = ({ shot }: TakePlan) => shot.widthPx * shot.heightPx;

/** Cost of a path with so many colourways, in units of a path with one: they share all but its shading. */
export const colourwayFactor = (colourways: number) => 1 + COLOURWAY_SHARE * (colourways - 1);

/** Mean samples a pixel, over tiles whose variances are multiplied by `demand`. */
export function samplesAt({ variance }: TakeLaw, demand: number, noise: number, passCap: number): number {
  let sum = 0;
  for (const one of variance) sum += samplesOf((demand * one) / noise ** 2, passCap);
  return sum / variance.length;
}

/** Tiles are judged when a block is done, which on an average is half a block too late. */
function samplesOf(need: number, passCap: number): number {
  if (need <= MIN_SAMPLES) return Math.min(MIN_SAMPLES, passCap);
  const { from, to } = nextBlock(Math.floor(need), Number.POSITIVE_INFINITY);
  return Math.min(need + (to - from) / 2, passCap);
}

/**
 * The demand under which takes of a law need so many samples a pixel. Where they were as many as the cap allows it may
 * as well be larger: the least such demand.
 */
export function demandOf(law: TakeLaw, samples: number, noise: number, passCap: number): number {
  let [low, high] = [1e-6, 1e6];
  for (let i = 0; i < 50; i++) {
    const middle = Math.sqrt(low * high);
    if (samplesAt(law, middle, noise, passCap) < samples) low = middle;
    else high = middle;
  }
  return Math.sqrt(low * high);
}

/**
 * Work of a take, seconds of processor time on the machine of the first guesses. From the plan alone, so that machines
 * which divide a catalogue agree.
 */
export function work(take: TakePlan, noise: number, passCap: number): number {
  const law = firstGuess(traitsOf(take));
  const paths = pixelsOf(take) * samplesAt(law, 1, noise, passCap);
  return paths * law.perPath * colourwayFactor(take.colourways.length);
}
