/**
 * What takes ask of a machine before any were traced on it. Measured by `test/forecast/demand.ts` on the shipped templates
 * at 192² pixels and 64 samples in one colourway, one core of a shared EPYC server: geometric means of plain-court and
 * hammered-court, and of tideline and half-channel. Ratios between them hold elsewhere too, so one take that was traced
 * sets them all right.
 */
import type { ShotName } from '../plan/plan.ts';
import type { GroundPlan } from '../plan/studio.ts';

/** What decides how much of a take a tile and a path ask for, as far as the plan shows it. */
export interface TakeTraits {
  view: ShotName;
  ground: GroundPlan['kind'];
  stones: boolean;
}

/** What is known of takes of some traits. */
export interface TakeLaw {
  /** equal shares of the tiles, the quietest first: relative variance of one sample; processor seconds a path, one colourway */
  shares: readonly { variance: number; perPath: number }[];
}

/** Seconds of processor time before the first path: a page, the scene, its tree. */
export const FIRST_SET_UP = 1;

/** By shares of the tiles. */
interface Measured {
  microseconds: readonly number[];
  variance: readonly number[];
}

interface Ratios {
  pace: number;
  demand: number;
}

/** On white ground. */
const VIEWS: Record<Exclude<ShotName, 'turntable'>, { plain: Measured; stones: Measured }> = {
  'three-quarter': {
    plain: {
      variance: [
        0.00015, 0.00046, 0.00097, 0.0022, 0.0047, 0.0083, 0.014, 0.019, 0.026, 0.039, 0.052, 0.07, 0.093,
        0.14, 0.2, 0.49,
      ],
      microseconds: [0.65, 0.65, 0.64, 0.77, 1.1, 1.1, 1.3, 1.5, 1.5, 1.6, 1.8, 1.6, 1.5, 1.7, 2, 2.8],
    },
    stones: {
      variance: [
        0.00016, 0.0004, 0.00077, 0.0017, 0.0044, 0.009, 0.016, 0.025, 0.038, 0.055, 0.09, 0.13, 0.2, 0.29,
        0.55, 1.1,
      ],
      microseconds: [0.61, 0.59, 0.62, 0.7, 0.89, 1.1, 1.2, 1.3, 1.4, 1.6, 1.7, 1.7, 2, 2.2, 2.7, 3.9],
    },
  },
  front: {
    plain: {
      variance: [
        0, 0, 3.4e-6, 1.5e-5, 5.9e-5, 0.0003, 0.0025, 0.0075, 0.013, 0.023, 0.034, 0.048, 0.093, 0.13, 0.17,
        0.45,
      ],
      microseconds: [0.56, 0.53, 0.57, 0.57, 0.61, 0.7, 0.86, 1.1, 1.1, 1.3, 1.3, 1.4, 1.5, 1.7, 1.6, 2.6],
    },
    stones: {
      variance: [
        0, 0, 2.6e-6, 9.8e-6, 5.9e-5, 0.00024, 0.0029, 0.013, 0.021, 0.028, 0.043, 0.069, 0.11, 0.15, 0.24,
        0.53,
      ],
      microseconds: [0.49, 0.51, 0.52, 0.52, 0.61, 0.67, 0.86, 1.1, 1.2, 1.3, 1.3, 1.6, 1.5, 1.7, 1.7, 2.2],
    },
  },
  'flat-lay': {
    plain: {
      variance: [
        0.0014, 0.0025, 0.005, 0.0099, 0.02, 0.036, 0.061, 0.098, 0.13, 0.16, 0.2, 0.24, 0.3, 0.37, 0.48,
        0.61,
      ],
      microseconds: [0.52, 0.55, 0.63, 0.68, 0.76, 0.86, 1.1, 1.2, 1.1, 1.2, 1.2, 1.2, 1.5, 1.8, 2, 2.2],
    },
    stones: {
      variance: [
        0.00063, 0.0012, 0.0027, 0.0074, 0.013, 0.028, 0.061, 0.11, 0.14, 0.19, 0.24, 0.3, 0.37, 0.45, 0.6,
        0.91,
      ],
      microseconds: [0.51, 0.59, 0.68, 0.9, 1.1, 1.3, 1.5, 1.2, 1.3, 1.4, 1.5, 1.8, 2.2, 2.2, 3.1, 3.7],
    },
  },
  profile: {
    plain: {
      variance: [
        0, 0, 0, 0, 0, 6.8e-6, 4.2e-5, 0.00014, 0.00078, 0.0023, 0.0087, 0.015, 0.026, 0.044, 0.1, 0.63,
      ],
      microseconds: [
        0.09, 0.09, 0.3, 0.39, 0.37, 0.38, 0.4, 0.44, 0.56, 0.71, 0.85, 0.99, 0.93, 1.2, 1.1, 2.2,
      ],
    },
    stones: {
      variance: [
        0, 0, 0, 0, 0, 2.3e-6, 1.1e-5, 8.5e-5, 0.00057, 0.0018, 0.0096, 0.018, 0.035, 0.095, 0.36, 1.1,
      ],
      microseconds: [
        0.095, 0.095, 0.27, 0.37, 0.37, 0.38, 0.41, 0.48, 0.63, 0.74, 0.93, 1, 0.91, 1.5, 2.5, 3.1,
      ],
    },
  },
  macro: {
    plain: {
      variance: [
        0.0016, 0.0024, 0.0029, 0.0039, 0.0059, 0.011, 0.019, 0.031, 0.048, 0.068, 0.086, 0.11, 0.13, 0.17,
        0.19, 0.24,
      ],
      microseconds: [1.1, 0.93, 0.94, 0.99, 1.1, 1.3, 1.5, 1.5, 1.4, 1.5, 1.4, 1.5, 1.4, 1.6, 1.4, 1.3],
    },
    stones: {
      variance: [
        0.0014, 0.0021, 0.0029, 0.0088, 0.042, 0.072, 0.1, 0.13, 0.18, 0.22, 0.26, 0.36, 0.56, 0.92, 1.3, 1.8,
      ],
      microseconds: [0.87, 0.89, 0.98, 1.1, 1.8, 1.6, 1.6, 1.7, 1.6, 1.7, 1.5, 1.5, 2.3, 3.8, 4.4, 5.8],
    },
  },
  inside: {
    plain: {
      variance: [
        0.014, 0.039, 0.058, 0.074, 0.086, 0.1, 0.13, 0.14, 0.15, 0.18, 0.2, 0.22, 0.24, 0.29, 0.37, 0.56,
      ],
      microseconds: [1.1, 1.1, 1.2, 1.1, 1.1, 1.2, 1.2, 1.2, 1.2, 1.3, 1.5, 1.4, 1.3, 1.5, 2, 2.5],
    },
    stones: {
      variance: [
        0.03, 0.061, 0.078, 0.092, 0.12, 0.14, 0.15, 0.16, 0.17, 0.2, 0.21, 0.24, 0.28, 0.36, 0.45, 0.67,
      ],
      microseconds: [1.1, 1, 1.1, 1.2, 1.3, 1.3, 1.3, 1.3, 1.5, 1.4, 1.3, 1.2, 1.4, 1.9, 2.1, 2.8],
    },
  },
  pair: {
    plain: {
      variance: [
        6.3e-5, 0.00014, 0.00055, 0.0036, 0.0079, 0.019, 0.035, 0.055, 0.076, 0.095, 0.12, 0.14, 0.17, 0.23,
        0.34, 0.73,
      ],
      microseconds: [0.6, 0.62, 0.64, 0.94, 1.2, 1.2, 1.5, 1.4, 1.5, 1.7, 1.6, 1.8, 1.9, 2.3, 2.5, 3.8],
    },
    stones: {
      variance: [
        5.8e-5, 0.00013, 0.0005, 0.0039, 0.014, 0.031, 0.058, 0.082, 0.11, 0.15, 0.2, 0.26, 0.35, 0.52, 0.77,
        1.2,
      ],
      microseconds: [0.56, 0.56, 0.69, 1, 1.2, 1.3, 1.6, 1.8, 1.9, 1.9, 2.4, 2.4, 2.8, 3.4, 3.9, 5.1],
    },
  },
};

/**
 * Against white ground at a noise of 3 %: cost of a path, and variance. Geometric means over three-quarter and flat-lay of
 * plain-court (plain) and tideline (stones).
 */
const GROUNDS: Record<GroundPlan['kind'], { plain: Ratios; stones: Ratios }> = {
  white: { plain: { pace: 1, demand: 1 }, stones: { pace: 1, demand: 1 } },
  clear: { plain: { pace: 1.07, demand: 1.06 }, stones: { pace: 1.14, demand: 1.01 } },
  sweep: { plain: { pace: 1.04, demand: 0.88 }, stones: { pace: 1.06, demand: 0.96 } },
  gloss: { plain: { pace: 0.71, demand: 0.7 }, stones: { pace: 0.89, demand: 1.16 } },
};

/**
 * The variances above are of luminance relative to itself. What a viewer sees of them (`tracer/film-error.ts`) grows from
 * the quietest tiles to the noisiest, where stones add colour and bright ground adds little: squares of the ratio on crops of
 * 1500 px pictures at 16 samples, 0.05 on white ground, 0.2 on metal, 0.6 in stones.
 */
const AS_SEEN = { quiet: 0.05, metal: 0.2, stones: 0.6 };

export function firstGuess({ view, ground, stones }: TakeTraits): TakeLaw {
  // a turning band is seen as in a three-quarter view
  const { plain, stones: set } = VIEWS[view === 'turntable' ? 'three-quarter' : view];
  const { microseconds, variance } = stones ? set : plain;
  const { pace, demand } = GROUNDS[ground][stones ? 'stones' : 'plain'];
  const seen = (stones ? AS_SEEN.stones : AS_SEEN.metal) / AS_SEEN.quiet;
  return {
    shares: variance.map((v, i) => ({
      variance: v * demand * AS_SEEN.quiet * seen ** (i / (variance.length - 1)),
      perPath: microseconds[i] * 1e-6 * pace,
    })),
  };
}
