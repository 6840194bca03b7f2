/**
 * What a lane is made of where that is not one metal all through: a body of colour under a clear coat, wood, sheets of two
 * metals. How light goes in them is in tracer/kernel/body.ts and pattern.ts.
 */
import type { Rgb } from './rgb.ts';

/** Sheets of two metals. mm */
export interface Layers {
  kind: 'layers';
  /** of two sheets together, one of each metal */
  stackMm: number;
  /** of the first metal in them */
  share: number;
  /** whole turns of a bar round the ring; 0 lays sheets along the bore */
  turns: number;
  /** width of the bars that lie beside each other; 0 for one */
  barMm: number;
  /** how far sheets are bent out of their place, and over which length */
  bendMm: number;
  bendLengthMm: number;
  seed: number;
}

/** Rings about a pith, with pores along the fibre. mm */
export interface Grain {
  kind: 'wood';
  ringMm: number;
  /** from the middle of the band, along the finger axis */
  pithMm: number;
  /** the fibre runs round the ring, as in bent wood; else straight through, as in a ring turned from a plank */
  round: boolean;
  /** width of pores; 0 for none to be seen */
  poreMm: number;
  /** of the early wood's cross-section */
  poreShare: number;
  /** how far rings stray, in rings */
  waver: number;
  seed: number;
}

export type Pattern = Layers | Grain;

/** As far as it decides paths; colour apart. */
export type LaneMatter =
  /** a body of colour under a coat of this refractive index */
  | { coat: number; grain?: Grain }
  /** two metals; `etched`: roughness α of the second, whatever finish the lane has */
  | { layers: Layers; etched?: number };

/** What a lane of the alloy is made of; null for one metal all through. @param pattern the lane's own, of layers and wood */
export function matterOf(
  { body, layers }: { body?: { index: number }; layers?: { etched?: number } },
  pattern: Pattern | null | undefined,
): LaneMatter | null {
  if (body) return { coat: body.index, ...(pattern?.kind === 'wood' && { grain: pattern }) };
  if (!layers || pattern?.kind !== 'layers') return null;
  return { layers: pattern, ...(layers.etched !== undefined && { etched: layers.etched }) };
}

/** Reflectance at normal incidence of a clear coat: Fresnel. */
export const coatReflectance = (index: number) => ((index - 1) / (index + 1)) ** 2;

/**
 * What a body gives back of the light that has entered through its coat, from its colour as it is measured with the gloss
 * counted: R = F + (1 − F) b (Saunderson, JOSA 32, 1942, where b = (1 − Fi) ρ / (1 − ρ Fi) for a body of reflectance ρ).
 */
export function bodyAlbedo(measured: Rgb, index: number): Rgb {
  const f = coatReflectance(index);
  return measured.map((r) => Math.max(0, (r - f) / (1 - f))) as Rgb;
}
