import { alloyF82, COS_82, fresnelConductor, type PureMetal } from './conductor.ts';

/** Linear Rec. 709. */
export type Rgb = [number, number, number];

/** Metal whose fineness an alloy states, and whose hallmarking rules it falls under. */
export type FineMetal = 'gold' | 'platinum' | 'palladium' | 'silver' | 'none';

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

function alloy({
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

const NICKEL =
  'Contains nickel: rings in contact with skin may release at most 0.5 µg Ni/cm²/week in the EU (REACH annex XVII entry 27, test EN 1811). Many people react to nickel; have the finished ring tested and follow local rules.';
const SUPPLIER =
  'supplier gravity table (jshow.legacy.prod.stullercloud.com, "Where to find gravity of materials", 2012)';
const RANGE = '24carat.co.uk "Density of gold and other metals"';
const RULE = 'from composition by 100/ρ = Σ wᵢ/ρᵢ (rule and example: tmtpages.com/specific-gravity.htm)';
const LAB = 'typical measured CIELAB of the class, from memory ±2, turned into linear Rec. 709';
const DULLER =
  'estimate mixed from n, k by atomic fraction, lowered about 3 L* since polished alloys measure duller than films';
const RECIPES = 'thoughtco.com "Composition of gold alloys"';

/** Refractive index taken for the black oxide on zirconium: that of zirconia, about 2.1. From memory. */
const OXIDE_INDEX = 2.1;

/**
 * Zirconium heated until a black oxide covers it. What is seen is the oxide: a dielectric so dark that only its surface
 * reflects, so both reflectances follow from its index by Fresnel's equations.
 */
function blackZirconium(): Alloy {
  const grey = (cos: number): Rgb => {
    const f = fresnelConductor(OXIDE_INDEX, 0, cos);
    return [f, f, f];
  };
  const source = `LOW CONFIDENCE: surface of an opaque black oxide of index ${OXIDE_INDEX}, from memory; no measured reflectance was found`;
  return {
    id: 'zirconium-black',
    label: 'Black zirconium',
    description: 'black oxidised zirconium',
    slug: 'ZR',
    metal: 'none',
    uncastable: true,
    density: 6.51,
    f0: grey(1),
    f82: grey(COS_82),
    colour: 'unmeasured',
    cautions: [
      'The colour shown is estimated: compare it with a sample before you choose. The black is a thin oxide that wears and scratches through to grey metal. Cannot be resized at an ordinary bench.',
    ],
    sources: { density: 'zirconium, from memory', f0: source, f82: source },
  };
}

/**
 * Measured jewellery is duller than thin-film n, k gives, so gold rows use class-like measured colour
 * (colour classes 2N–5N of ISO 8654) wherever a value is known.
 */
const ROWS: Alloy[] = [
  alloy({
    id: 'yellow-22',
    label: 'Yellow gold 22 ct',
    description: '22 carat yellow gold (916)',
    slug: 'Y22',
    metal: 'gold',
    fineness: 916,
    density: 17.75,
    densitySource: `${RANGE}: 17.7–17.8`,
    f0: [0.912, 0.67, 0.377],
    lab: [87, 4, 28],
    f0Source: `CIELAB 87, 4, 28: between 3N and pure gold measured 84, 4.8, 34.3; ${LAB}`,
    nearest: 'gold',
    composition: { Au: 91.67, Ag: 5, Cu: 2, Zn: 1.33 },
    compositionSource: RECIPES,
  }),
  alloy({
    id: 'yellow-18',
    label: 'Yellow gold 18 ct',
    description: '18 carat yellow gold (750)',
    slug: 'Y18',
    metal: 'gold',
    fineness: 750,
    density: 15.58,
    densitySource: SUPPLIER,
    f0: [0.9, 0.694, 0.452],
    lab: [88, 3.5, 22],
    f0Source: `class 3N, CIELAB 88, 3.5, 22; ${LAB}`,
    nearest: 'gold',
    composition: { Au: 75, Ag: 12.5, Cu: 12.5 },
    compositionSource: 'jewellerypassion.net/white-gold (equal parts); class 3N from memory',
  }),
  alloy({
    id: 'yellow-14',
    label: 'Yellow gold 14 ct',
    description: '14 carat yellow gold (585)',
    slug: 'Y14',
    metal: 'gold',
    fineness: 585,
    density: 13.07,
    densitySource: SUPPLIER,
    f0: [0.882, 0.697, 0.474],
    lab: [88, 3, 20],
    f0Source: `CIELAB 88, 3, 20; ${LAB}`,
    nearest: 'gold',
    composition: { Au: 58.5, Ag: 12.5, Cu: 29 },
    compositionSource: 'motek.diamonds/diamond-education/precious-metals; supplier alloys add zinc',
  }),
  alloy({
    id: 'yellow-9',
    label: 'Yellow gold 9 ct',
    description: '9 carat yellow gold (375)',
    slug: 'Y9',
    metal: 'gold',
    fineness: 375,
    density: 11.4,
    densitySource: `orchid.ganoksin.com "Wax to cast gold conversions"; ${RANGE}: 10.9–12.7`,
    f0: [0.84, 0.679, 0.496],
    lab: [87, 3, 16.5],
    f0Source: `CIELAB 87, 3, 16.5; ${LAB}`,
    nearest: 'gold',
    composition: { Au: 37.5, Ag: 10, Cu: 45, Zn: 7.5 },
    compositionSource: 'from memory',
  }),
  alloy({
    id: 'rose-18',
    label: 'Rose gold 18 ct',
    description: '18 carat rose gold (750)',
    slug: 'R18',
    metal: 'gold',
    fineness: 750,
    density: 15.18,
    densitySource: SUPPLIER,
    f0: [0.919, 0.631, 0.46],
    lab: [86, 9.2, 18.5],
    f0Source: `class 5N, CIELAB 86, 9.2, 18.5; ${LAB}`,
    nearest: 'copper',
    composition: { Au: 75, Ag: 4.5, Cu: 20.5 },
    compositionSource: 'class 5N, from memory',
  }),
  alloy({
    id: 'rose-14',
    label: 'Rose gold 14 ct',
    description: '14 carat rose gold (585)',
    slug: 'R14',
    metal: 'gold',
    fineness: 585,
    density: 13.26,
    densitySource: SUPPLIER,
    f0: [0.911, 0.646, 0.473],
    lab: [86.5, 8, 18],
    f0Source: `CIELAB 86.5, 8, 18; ${DULLER}`,
    nearest: 'copper',
    composition: { Au: 58.5, Ag: 9, Cu: 32.5 },
    compositionSource: 'from memory',
  }),
  alloy({
    id: 'rose-9',
    label: 'Rose gold 9 ct',
    description: '9 carat rose gold (375)',
    slug: 'R9',
    metal: 'gold',
    fineness: 375,
    density: 11.32,
    densitySource: `${RULE}; ${RANGE}: 10.9–12.7`,
    f0: [0.879, 0.601, 0.469],
    lab: [84.5, 10, 15.5],
    f0Source: `CIELAB 84.5, 10, 15.5; ${DULLER}`,
    nearest: 'copper',
    composition: { Au: 37.5, Ag: 5, Cu: 57.5 },
    compositionSource: 'from memory',
  }),
  alloy({
    id: 'green-18',
    label: 'Green gold 18 ct',
    description: '18 carat green gold (750)',
    slug: 'G18',
    metal: 'gold',
    fineness: 750,
    density: 15.9,
    densitySource: SUPPLIER,
    f0: [0.861, 0.811, 0.483],
    lab: [91.6, -5.4, 24.1],
    f0Source:
      'Rioux Au–Ag n, k (refractiveindex.info-database other/alloys/Au-Ag) at 62 at% Au: CIELAB 94.6, −5.4, 24.1; lowered 3 L* as polished alloys measure duller',
    published: true,
    nearest: 'gold',
    composition: { Au: 75, Ag: 25 },
    compositionSource: 'binary alloy, by definition of 750',
  }),
  alloy({
    id: 'white-18',
    label: 'White gold 18 ct',
    description: '18 carat palladium white gold (750)',
    slug: 'W18',
    metal: 'gold',
    fineness: 750,
    density: 16.44,
    densitySource: `${RULE}; ${RANGE}: 14.7–16.9`,
    f0: [0.679, 0.624, 0.558],
    lab: [83.5, 1, 6],
    f0Source: 'CIELAB about 83.5, 1, 6, from memory; unplated',
    nearest: 'palladium',
    composition: { Au: 75, Ag: 10, Pd: 15 },
    compositionSource: 'from memory',
  }),
  alloy({
    id: 'white-18-rhodium',
    label: 'White gold 18 ct, rhodium-plated',
    description: '18 carat palladium white gold (750), rhodium-plated',
    slug: 'W18RH',
    metal: 'gold',
    fineness: 750,
    density: 16.44,
    densitySource: `${RULE}; ${RANGE}: 14.7–16.9; the plating weighs nothing to speak of`,
    f0: [0.797, 0.765, 0.742],
    lab: [90.3, 0.9, 1.9],
    f0Source: 'rhodium, Weaver 1977 n, k (refractiveindex.info-database main/Rh/nk/Weaver.yml) over D65/2°',
    published: true,
    nearest: 'palladium',
    composition: { Au: 75, Ag: 10, Pd: 15 },
    compositionSource: 'from memory',
    cautions: [
      // to be told to the buyer: US 16 CFR 23.7, from memory; how long it lasts: common practice
      'The bright white is a thin rhodium plating. It wears off, often within one to three years and first on the palm side; the slightly warmer white gold beneath then shows. The ring can be plated again, at a cost.',
    ],
  }),
  alloy({
    id: 'white-14',
    label: 'White gold 14 ct',
    description: '14 carat palladium white gold (585)',
    slug: 'W14',
    metal: 'gold',
    fineness: 585,
    density: 14.57,
    densitySource: RULE,
    f0: [0.664, 0.616, 0.555],
    lab: [83, 0.8, 5.5],
    f0Source: 'CIELAB 83, 0.8, 5.5, estimate beside the 18 ct row, from memory; unplated',
    nearest: 'palladium',
    composition: { Au: 58.5, Ag: 31.5, Pd: 10 },
    compositionSource: 'from memory',
  }),
  alloy({
    id: 'white-18-nickel',
    label: 'Nickel white gold 18 ct',
    description: '18 carat nickel white gold (750)',
    slug: 'N18',
    metal: 'gold',
    fineness: 750,
    density: 14.64,
    densitySource: SUPPLIER,
    f0: [0.711, 0.654, 0.566],
    lab: [85, 0.5, 7.5],
    f0Source: 'CIELAB about 85, 0.5, 7.5, from memory; unplated',
    nearest: 'nickel',
    composition: { Au: 75, Ag: 2.5, Cu: 10, Ni: 8, Zn: 4.5 },
    compositionSource: 'motek.diamonds/diamond-education/precious-metals',
    cautions: [NICKEL],
  }),
  alloy({
    id: 'white-14-nickel',
    label: 'Nickel white gold 14 ct',
    description: '14 carat nickel white gold (585)',
    slug: 'N14',
    metal: 'gold',
    fineness: 585,
    density: 12.61,
    densitySource: SUPPLIER,
    f0: [0.725, 0.675, 0.596],
    lab: [86, 0.4, 6.5],
    f0Source: 'CIELAB about 86, 0.4, 6.5, a little whiter than the 18 ct row, from memory; unplated',
    nearest: 'nickel',
    composition: { Au: 58.5, Cu: 22, Ni: 12, Zn: 7.5 },
    compositionSource: 'from memory; suppliers’ mixes differ',
    cautions: [NICKEL],
  }),
  alloy({
    id: 'platinum-950',
    label: 'Platinum 950',
    description: 'platinum 950 with ruthenium',
    slug: 'P950',
    metal: 'platinum',
    fineness: 950,
    density: 20.7,
    densitySource: `from memory; ${RULE} gives 20.69`,
    f0: [0.678, 0.638, 0.584],
    lab: [84.1, 0.6, 4.7],
    f0Source:
      'pure platinum, Rakić 1998 n, k integrated over D65/2°; Khronos asset guidelines give .672 .637 .585',
    published: true,
    nearest: 'platinum',
    composition: { Pt: 95, Ru: 5 },
    compositionSource: 'common practice',
  }),
  alloy({
    id: 'palladium-950',
    label: 'Palladium 950',
    description: 'palladium 950',
    slug: 'D950',
    metal: 'palladium',
    fineness: 950,
    density: 11.8,
    densitySource: `from memory; ${RULE} gives 12.04 for ruthenium alone`,
    f0: [0.653, 0.619, 0.578],
    lab: [83.1, 0.6, 3.7],
    f0Source:
      'Johnson & Christy 1974 n, k: CIELAB 87.1, 0.6, 3.7; lowered 4 L* as polished metal measures duller',
    published: true,
    nearest: 'palladium',
    composition: { Pd: 95, Ru: 5 },
    compositionSource: 'common practice; gallium may replace part of the ruthenium',
  }),
  alloy({
    id: 'silver-925',
    label: 'Sterling silver',
    description: 'sterling silver (925)',
    slug: 'S925',
    metal: 'silver',
    fineness: 925,
    density: 10.4,
    densitySource: SUPPLIER,
    f0: [0.916, 0.887, 0.818],
    lab: [95.5, -0.3, 4.5],
    f0Source: 'CIELAB 95.5, −0.3, 4.5: pure silver measured about 96, −0.7, 5.3 (from memory)',
    nearest: 'silver',
    composition: { Ag: 92.5, Cu: 7.5 },
    compositionSource: 'sterling standard',
  }),
  alloy({
    id: 'titanium',
    label: 'Titanium',
    description: 'titanium (grade 2)',
    slug: 'TI',
    metal: 'none',
    uncastable: true,
    density: 4.51,
    densitySource: 'from memory',
    f0: [0.542, 0.497, 0.449],
    f0Source:
      'Khronos 3DC asset creation guidelines 1.0, section 5; evaporated film (Johnson & Christy) is lighter: .619 .579 .543',
    published: true,
    nearest: 'titanium',
    cautions: ['Cannot be soldered or resized at an ordinary bench.'],
  }),
  alloy({
    id: 'tantalum',
    label: 'Tantalum',
    description: 'tantalum',
    slug: 'TA',
    metal: 'none',
    uncastable: true,
    density: 16.65,
    densitySource: 'from memory',
    f0: [0.46, 0.46, 0.47],
    f0Source:
      'from memory, LOW CONFIDENCE: no sound visible-range n, k was found; chosen neutral to cool grey',
    nearest: 'titanium',
    cautions: [
      'The colour shown is estimated: compare it with a sample before you choose. Cannot be resized at an ordinary bench.',
    ],
  }),
  blackZirconium(),
];

export const ALLOYS: ReadonlyMap<string, Alloy> = new Map(ROWS.map((a) => [a.id, a]));

/** Pure elements, g/cm³. Au, Ag, Cu: tmtpages.com/specific-gravity.htm; the others from memory. */
export const ELEMENT_DENSITY: Readonly<Record<string, number>> = {
  Au: 19.32,
  Ag: 10.49,
  Cu: 8.96,
  Pd: 12.02,
  Ni: 8.91,
  Zn: 7.14,
  Pt: 21.45,
  Ru: 12.37,
};

/**
 * Density of an ideal mixture from percent by weight: 100/ρ = Σ wᵢ/ρᵢ. Real alloys differ by a few percent.
 * @throws RangeError for an element without a density, or shares that don't sum to 100 ± 0.1
 */
export function mixtureDensity(composition: Readonly<Record<string, number>>): number {
  let sum = 0;
  let specificVolume = 0;
  for (const [element, share] of Object.entries(composition)) {
    const rho = ELEMENT_DENSITY[element];
    if (!rho) throw new RangeError(`no density is known for element ${element}`);
    sum += share;
    specificVolume += share / rho;
  }
  if (Math.abs(sum - 100) > 0.1) throw new RangeError(`shares sum to ${sum}, not 100`);
  return 100 / specificVolume;
}
