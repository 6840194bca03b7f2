import { alloyF82, type PureMetal } from './conductor.ts';
import type { Grain, Layers } from './matter.ts';
import type { Rgb } from './rgb.ts';

/** Metal whose fineness an alloy states, and whose hallmarking rules it falls under. */
export type FineMetal = 'gold' | 'platinum' | 'palladium' | 'silver' | 'none';

/** Reflectance of one of two layered metals, at normal incidence and at 82°. */
export type LayerMetal = Pick<Alloy, 'f0' | 'f82'>;

export interface Alloy {
  id: string;
  /** short name for menus and labels */
  label: string;
  /** wording with fineness, as a catalogue prints it */
  description: string;
  /** short form for SKUs */
  slug: string;
  metal: FineMetal;
  /** parts per thousand of the fine metal; undefined where fineness means nothing */
  fineness?: number;
  /** g/cm³ */
  density: number;
  /** reflectance at normal incidence */
  f0: Rgb;
  /** CIELAB (D65, 2°) that `f0` was made from; absent where its source is a reflectance or a guess */
  lab?: readonly [l: number, a: number, b: number];
  /** reflectance at 82° */
  f82: Rgb;
  /** whether `f0` rests on published optical data, or on memory: then a sample must be looked at */
  colour: 'published' | 'unmeasured';
  /** a body of colour: refractive index of what covers it, and what it gives back of light that enters, in both tones of wood */
  body?: { index: number; tones: [Rgb, Rgb] };
  /** of wood: its rings and pores, as a lane has them that says nothing else */
  grain?: Grain;
  /** sheets of two metals, diffusion-bonded: how they lie unless the lane says else, their colours, roughness of what is etched */
  layers?: { usual: Layers; metals: [LayerMetal, LayerMetal]; etched?: number };
  /** percent by weight, where known */
  composition?: Readonly<Record<string, number>>;
  cautions: readonly string[];
  /**
   * too reactive when molten, or too hot, for an ordinary caster's crucibles and investment: titanium melts at 1668 °C,
   * zirconium at 1855 °C, tantalum at 3017 °C (CRC Handbook of Chemistry and Physics)
   */
  uncastable?: true;
  sources: { density: string; f0: string; f82: string; composition?: string };
}

type AlloyInput = Omit<Alloy, 'f82' | 'colour' | 'sources' | 'cautions'> & {
  nearest: PureMetal;
  cautions?: readonly string[];
  densitySource: string;
  f0Source: string;
  published?: true;
  compositionSource?: string;
};

/** A row of the table with its reflectance at 82° worked out and its sources told. */
export function alloy({
  nearest,
  published,
  densitySource,
  f0Source,
  compositionSource,
  cautions,
  ...row
}: AlloyInput): Alloy {
  return {
    ...row,
    f82: alloyF82(row.f0, nearest),
    colour: published ? 'published' : 'unmeasured',
    cautions: cautions ?? [],
    sources: {
      density: densitySource,
      f0: f0Source,
      f82: `estimate: ratio (1 − F82)/(1 − F0) of pure ${nearest}, from its n and k`,
      ...(compositionSource ? { composition: compositionSource } : {}),
    },
  };
}

/** Sources that rows of several metals rest on. */
export const SUPPLIER =
  'supplier gravity table (jshow.legacy.prod.stullercloud.com, "Where to find gravity of materials", 2012)';
export const RULE =
  'from composition by 100/ρ = Σ wᵢ/ρᵢ (rule and example: tmtpages.com/specific-gravity.htm)';
