import type { Rgb } from './rgb.ts';

/**
 * Reflectance of a smooth conductor with complex index n + ik for unpolarised light at the angle whose cosine
 * is `cos`; exact Fresnel equations in real arithmetic (Born & Wolf, Principles of Optics, 14.4).
 */
export function fresnelConductor(n: number, k: number, cos: number): number {
  const c2 = cos * cos;
  const s2 = 1 - c2;
  const t0 = n * n - k * k - s2;
  const a2b2 = Math.sqrt(t0 * t0 + 4 * n * n * k * k);
  const t1 = a2b2 + c2;
  const a = Math.sqrt(Math.max(0, (a2b2 + t0) / 2));
  const t2 = 2 * a * cos;
  const rs = (t1 - t2) / (t1 + t2);
  const t3 = c2 * a2b2 + s2 * s2;
  const t4 = t2 * s2;
  return (rs * (1 + (t3 - t4) / (t3 + t4))) / 2;
}

/** cos 82°: the grazing angle at which the tracer's metals take their second reflectance. */
export const COS_82 = Math.cos((82 * Math.PI) / 180);

/** Complex index at about 610, 550 and 450 nm, standing for R, G and B. */
export interface MetalIndex {
  n: Rgb;
  k: Rgb;
  source: string;
}

const DB = 'refractiveindex.info-database (CC0-1.0)';

/** Pure metals with measured optical constants. */
export const METAL_INDEX = {
  gold: {
    n: [0.21, 0.43, 1.38],
    k: [3.272, 2.455, 1.914],
    source: `Johnson & Christy 1972, ${DB} main/Au/nk/Johnson.yml`,
  },
  silver: {
    n: [0.06, 0.06, 0.04],
    k: [4.152, 3.586, 2.657],
    source: `Johnson & Christy 1972, ${DB} main/Ag/nk/Johnson.yml`,
  },
  copper: {
    n: [0.3, 1.02, 1.24],
    k: [3.205, 2.577, 2.397],
    source: `Johnson & Christy 1972, ${DB} main/Cu/nk/Johnson.yml`,
  },
  platinum: {
    n: [2.253, 2.089, 1.85],
    k: [4.04, 3.698, 3.138],
    source: `Rakić 1998, ${DB} main/Pt/nk/Rakic-LD.yml`,
  },
  palladium: {
    n: [1.75, 1.64, 1.41],
    k: [4.21, 3.84, 3.26],
    source: `Johnson & Christy 1974, ${DB} main/Pd/nk/Johnson.yml`,
  },
  titanium: {
    n: [2.67, 2.54, 2.27],
    k: [3.72, 3.43, 3.04],
    source: `Johnson & Christy 1974, ${DB} main/Ti/nk/Johnson.yml`,
  },
  nickel: {
    n: [1.98, 1.92, 1.73],
    k: [3.98, 3.62, 2.94],
    source: `Johnson & Christy 1974, ${DB} main/Ni/nk/Johnson.yml, interpolated`,
  },
} as const satisfies Record<string, MetalIndex>;

export type PureMetal = keyof typeof METAL_INDEX;

/** Reflectance of a pure metal at an angle, per channel. */
export function pureReflectance(metal: PureMetal, cos: number): Rgb {
  const { n, k } = METAL_INDEX[metal];
  return [0, 1, 2].map((i) => fresnelConductor(n[i], k[i], cos)) as Rgb;
}

/**
 * Reflectance at 82° of an alloy whose reflectance at normal incidence is `f0`. Estimate: per channel the alloy
 * keeps the ratio (1 − F82)/(1 − F0) of the pure metal it is nearest to, so a brighter alloy stays brighter and
 * nothing passes 1.
 */
export function alloyF82(f0: Rgb, nearest: PureMetal): Rgb {
  const pure0 = pureReflectance(nearest, 1);
  const pure82 = pureReflectance(nearest, COS_82);
  return f0.map((f, i) => 1 - ((1 - f) * (1 - pure82[i])) / (1 - pure0[i])) as Rgb;
}
