/**
 * What takes ask of a machine before any were traced on it, as `test/forecast/demand.ts` measured it on shipped templates:
 * of bare metal, of brilliants, and of stones with corners, whose large facets are noisier. Ratios between them hold
 * elsewhere too, so one take that was traced sets them all right.
 */
import { GROUND_DEMAND, VIEW_DEMAND } from './measured-demand.ts';
import { distanceOf, type TakeTraits } from './take-traits.ts';

/** What is known of takes of some traits. */
export interface TakeLaw {
  /** equal shares of the tiles, the quietest first: variance of one sample; processor seconds a path, one colourway */
  shares: readonly { variance: number; perPath: number }[];
}

/** Seconds of processor time before the first path: a page, the scene, its tree. */
export const FIRST_SET_UP = 1;

const WHITE = { pace: 1, demand: 1 };

export function firstGuess({ view, ground, stones }: TakeTraits): TakeLaw {
  // a turning band is seen as in a three-quarter view
  const { microseconds, variance } = VIEW_DEMAND[view === 'turntable' ? 'three-quarter' : view][stones];
  const { pace, demand } = ground === 'white' ? WHITE : GROUND_DEMAND[ground][distanceOf(view)][stones];
  return {
    shares: variance.map((v, i) => ({ variance: v * demand, perPath: microseconds[i] * 1e-6 * pace })),
  };
}
