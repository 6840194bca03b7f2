/**
 * How much work a take is, from its plan alone: samples × processor time of a sample. A tile is given samples until the
 * error of its mean falls to the noise target, which is inverse to the root of their number; so it needs variance / noise²
 * of them, at least MIN_SAMPLES and at most the pass cap. How much one sample varies differs from tile to tile: bare
 * ground hardly, stones most. So a take is told by a spread of variances, and not by one.
 */
import { type ShapeDesign, sortsOf } from '../plan/design.ts';
import type { ShapeKey, TakePlan } from '../plan/plan.ts';
import { COUNTS } from '../tracer/film-error.ts';
import { SEEN } from '../tracer/film-state.ts';
import { nextBlock } from '../tracer/pass.ts';
import { MIN_SAMPLES } from '../tracer/stop-rule.ts';
import { firstGuess, type TakeLaw } from './first-guesses.ts';
import { isBare, type TakeTraits } from './take-traits.ts';

/** Share of a path's cost that each further colourway adds; measured with `colourways` of the bench. */
const COLOURWAY_SHARE = 0.03;

/** @param designs of the plan; without them stones count as round */
export function traitsOf(
  { shot, shapes, optics }: TakePlan,
  designs: Readonly<Partial<Record<ShapeKey, ShapeDesign>>> = {},
): TakeTraits {
  const cornered = () =>
    shapes.some((key) => designs[key]?.rows.flatMap(sortsOf).some(({ lengthMm }) => lengthMm !== undefined));
  const worked = () => shapes.some((key) => designs[key]?.lanes.some((l) => l.hammer || l.texture));
  const set = optics.some((sorts) => sorts.length > 0);
  return {
    view: shot.view,
    ground: shot.ground.kind,
    stones: set ? (cornered() ? 'cornered' : 'round') : worked() ? 'worked' : 'none',
  };
}

/** A raw film is traced as one that will be filtered is of so much less noise: all that it shows counts whole. */
export const rawShare = ({ stones }: TakeTraits) =>
  Math.sqrt(COUNTS[isBare(stones) ? SEEN.filtered : SEEN.stone]);

export const pixelsOf = ({ shot }: TakePlan) => shot.widthPx * shot.heightPx;

/** Cost of a path with so many colourways, in units of a path with one: they share all but its shading. */
export const colourwayFactor = (colourways: number) => 1 + COLOURWAY_SHARE * (colourways - 1);

/** What a take asks for at a noise target: samples a pixel in the mean, and processor time a pixel in one colourway, s. */
export interface Asked {
  samples: number;
  seconds: number;
}

/**
 * Over tiles whose variances are multiplied by `demand`. Noisy tiles, of stones mostly, get most of the samples, and a path
 * costs more there.
 */
export function askedBy({ shares }: TakeLaw, demand: number, noise: number, passCap: number): Asked {
  let samples = 0;
  let seconds = 0;
  for (const { variance, perPath } of shares) {
    const these = samplesOf((demand * variance) / noise ** 2, passCap) / shares.length;
    samples += these;
    seconds += these * perPath;
  }
  return { samples, seconds };
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
  // so many but for rounding: at the least number of samples the next more is half a block away
  const enough = samples * (1 - 1e-9);
  for (let i = 0; i < 50; i++) {
    const middle = Math.sqrt(low * high);
    if (askedBy(law, middle, noise, passCap).samples < enough) low = middle;
    else high = middle;
  }
  return Math.sqrt(low * high);
}

/**
 * Work of a take, seconds of processor time on the machine of the first guesses. From the plan alone, so that machines
 * which divide a catalogue agree.
 */
export function work(take: TakePlan, noise: number, passCap: number): number {
  const { seconds } = askedBy(firstGuess(traitsOf(take)), 1, noise, passCap);
  return pixelsOf(take) * seconds * colourwayFactor(take.colourways.length);
}
