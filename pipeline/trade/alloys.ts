import { type Alloy, alloy, RULE, SUPPLIER } from './alloy.ts';
import { BODIES } from './bodies.ts';
import { GOLD_ALLOYS } from './gold-alloys.ts';
import { layeredMetals } from './layered-metals.ts';
import { darkBody, OTHER_MATERIALS } from './other-materials.ts';

/** Refractive index taken for the black oxide on zirconium: that of zirconia, about 2.1. From memory. */
const OXIDE_INDEX = 2.1;

/**
 * Zirconium heated until a black oxide covers it. What is seen is the oxide: a dielectric so dark that only its surface
 * reflects, so both reflectances follow from its index by Fresnel's equations.
 */
function blackZirconium(): Alloy {
  const source = `LOW CONFIDENCE: surface of an opaque black oxide of index ${OXIDE_INDEX}, from memory; no measured reflectance was found`;
  return {
    id: 'zirconium-black',
    label: 'Black zirconium',
    description: 'black oxidised zirconium',
    slug: 'ZR',
    metal: 'none',
    uncastable: true,
    density: 6.51,
    ...darkBody(OXIDE_INDEX),
    colour: 'unmeasured',
    cautions: [
      'The colour shown is estimated: compare it with a sample before you choose. The black is a thin oxide that wears and scratches through to grey metal. Cannot be resized at an ordinary bench.',
    ],
    sources: { density: 'zirconium, from memory', f0: source, f82: source },
  };
}

const OTHER_ALLOYS: readonly Alloy[] = [
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
    id: 'silver-925-gilt',
    label: 'Sterling silver, gold-plated',
    description: 'sterling silver (925), plated with 18 carat gold',
    slug: 'S925G',
    metal: 'silver',
    fineness: 925,
    density: 10.4,
    densitySource: `${SUPPLIER}; the plating weighs nothing to speak of`,
    f0: [0.9, 0.694, 0.452],
    lab: [88, 3.5, 22],
    f0Source: 'that of yellow gold 18 ct: class 3N, CIELAB 88, 3.5, 22, from memory; baths differ',
    nearest: 'gold',
    composition: { Ag: 92.5, Cu: 7.5 },
    compositionSource: 'sterling standard',
    cautions: [
      'The gold is a thin plating on silver and must be described so; rules for what it may be called differ by country. It wears off within one to three years, first on edges and the palm side; the silver beneath then shows. The ring can be plated again, at a cost.',
    ],
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

const METALS = [...GOLD_ALLOYS, ...OTHER_ALLOYS];

export const ALLOYS: ReadonlyMap<string, Alloy> = new Map(
  [...METALS, ...OTHER_MATERIALS, ...BODIES, ...layeredMetals(METALS)].map((a) => [a.id, a]),
);
