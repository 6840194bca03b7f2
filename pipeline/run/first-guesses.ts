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
  /** seconds of processor time a path with one colourway */
  perPath: number;
  /** relative variance of one sample of a tile: equal shares of the tiles, the quietest first */
  variance: readonly number[];
}

/** Seconds of processor time before the first path: a page, the scene, its tree. */
export const FIRST_SET_UP = 1;

interface Measured {
  microseconds: number;
  variance: readonly number[];
}

/** On white ground. */
const VIEWS: Record<Exclude<ShotName, 'turntable'>, { plain: Measured; stones: Measured }> = {
  'three-quarter': {
    plain: {
      microseconds: 1.77,
      variance: [
        0.00014, 0.00045, 0.00098, 0.0023, 0.0049, 0.0083, 0.014, 0.02, 0.025, 0.04, 0.053, 0.07, 0.086, 0.14,
        0.19, 0.47,
      ],
    },
    stones: {
      microseconds: 1.68,
      variance: [
        0.00014, 0.00037, 0.00075, 0.0018, 0.0045, 0.0094, 0.015, 0.024, 0.039, 0.057, 0.092, 0.13, 0.19,
        0.28, 0.55, 1,
      ],
    },
  },
  front: {
    plain: {
      microseconds: 0.94,
      variance: [
        0, 0, 3.1e-6, 1.3e-5, 5e-5, 0.00018, 0.0014, 0.0075, 0.013, 0.022, 0.035, 0.045, 0.095, 0.13, 0.17,
        0.42,
      ],
    },
    stones: {
      microseconds: 1.07,
      variance: [
        0, 0, 2.4e-6, 8.2e-6, 5.4e-5, 0.00018, 0.0013, 0.014, 0.02, 0.028, 0.044, 0.065, 0.12, 0.15, 0.25,
        0.43,
      ],
    },
  },
  'flat-lay': {
    plain: {
      microseconds: 1.42,
      variance: [
        0.0014, 0.0023, 0.0047, 0.0095, 0.019, 0.034, 0.066, 0.099, 0.12, 0.16, 0.2, 0.24, 0.3, 0.37, 0.49,
        0.57,
      ],
    },
    stones: {
      microseconds: 1.73,
      variance: [
        0.0006, 0.0011, 0.0027, 0.0074, 0.013, 0.028, 0.063, 0.11, 0.14, 0.19, 0.23, 0.29, 0.38, 0.46, 0.62,
        0.85,
      ],
    },
  },
  profile: {
    plain: {
      microseconds: 0.81,
      variance: [
        0, 0, 0, 0, 0, 4.3e-6, 4.1e-5, 0.0001, 0.00093, 0.0022, 0.0089, 0.015, 0.025, 0.044, 0.097, 0.23,
      ],
    },
    stones: {
      microseconds: 0.93,
      variance: [
        0, 0, 0, 0, 0, 1.9e-6, 8.9e-6, 7.2e-5, 0.00057, 0.0018, 0.011, 0.018, 0.036, 0.078, 0.33, 0.98,
      ],
    },
  },
  macro: {
    plain: {
      microseconds: 1.29,
      variance: [
        0.0017, 0.0024, 0.0029, 0.0038, 0.0059, 0.01, 0.019, 0.03, 0.048, 0.068, 0.086, 0.11, 0.13, 0.17,
        0.19, 0.23,
      ],
    },
    stones: {
      microseconds: 2.25,
      variance: [
        0.0014, 0.0021, 0.0029, 0.0058, 0.046, 0.073, 0.098, 0.14, 0.18, 0.22, 0.26, 0.35, 0.54, 0.92, 1.4,
        1.8,
      ],
    },
  },
  inside: {
    plain: {
      microseconds: 1.44,
      variance: [
        0.011, 0.039, 0.059, 0.073, 0.085, 0.11, 0.12, 0.14, 0.15, 0.18, 0.2, 0.22, 0.24, 0.29, 0.36, 0.52,
      ],
    },
    stones: {
      microseconds: 1.79,
      variance: [
        0.034, 0.061, 0.077, 0.093, 0.11, 0.14, 0.15, 0.16, 0.17, 0.2, 0.21, 0.24, 0.28, 0.36, 0.46, 0.62,
      ],
    },
  },
  pair: {
    plain: {
      microseconds: 1.67,
      variance: [
        7e-5, 0.00013, 0.00034, 0.0031, 0.0075, 0.019, 0.036, 0.057, 0.075, 0.094, 0.12, 0.14, 0.17, 0.22,
        0.33, 0.72,
      ],
    },
    stones: {
      microseconds: 2.11,
      variance: [
        4.8e-5, 0.0001, 0.00023, 0.0019, 0.018, 0.031, 0.065, 0.09, 0.12, 0.17, 0.24, 0.32, 0.44, 0.52, 0.72,
        0.96,
      ],
    },
  },
};

/** Against white ground: cost of a path, and variance. Means over three-quarter and flat-lay of plain-court and tideline. */
const GROUNDS: Record<GroundPlan['kind'], { pace: number; demand: number }> = {
  white: { pace: 1, demand: 1 },
  clear: { pace: 1.05, demand: 1.05 },
  sweep: { pace: 0.92, demand: 0.92 },
  gloss: { pace: 0.83, demand: 0.87 },
};

export function firstGuess({ view, ground, stones }: TakeTraits): TakeLaw {
  // a turning band is seen as in a three-quarter view
  const { plain, stones: set } = VIEWS[view === 'turntable' ? 'three-quarter' : view];
  const { microseconds, variance } = stones ? set : plain;
  const { pace, demand } = GROUNDS[ground];
  return {
    perPath: microseconds * 1e-6 * pace,
    variance: variance.map((v) => v * demand),
  };
}
