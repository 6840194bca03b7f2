import { type Alloy, alloy, RULE } from './alloy.ts';
import { COS_82, fresnelConductor } from './conductor.ts';
import type { Rgb } from './rgb.ts';

export const COLOUR_GUESSED = 'The colour shown is estimated: compare it with a sample before you choose.';
export const NEVER_RESIZED = 'Cannot be resized or soldered: a new ring is made if the finger changes.';

/**
 * A material so dark that only its surface reflects: both reflectances follow from its refractive index by Fresnel's
 * equations. Those with a body colour of their own are in `bodies.ts`.
 */
export function darkBody(index: number): Pick<Alloy, 'f0' | 'f82'> {
  const grey = (cos: number): Rgb => {
    const f = fresnelConductor(index, 0, cos);
    return [f, f, f];
  };
  return { f0: grey(1), f82: grey(COS_82) };
}

type Dark = Pick<Alloy, 'id' | 'label' | 'description' | 'slug' | 'density' | 'cautions'> & {
  index: number;
  densitySource: string;
  surface: string;
};

function darkMaterial({ index, densitySource, surface, ...row }: Dark): Alloy {
  const source = `LOW CONFIDENCE: surface of ${surface}; no measured reflectance was found`;
  return {
    ...row,
    ...darkBody(index),
    metal: 'none',
    uncastable: true,
    colour: 'unmeasured',
    sources: { density: densitySource, f0: source, f82: source },
  };
}

export const OTHER_MATERIALS: readonly Alloy[] = [
  alloy({
    id: 'tungsten-carbide',
    label: 'Tungsten carbide',
    description: 'tungsten carbide (nickel-bound)',
    slug: 'WC',
    metal: 'none',
    uncastable: true,
    density: 14.95,
    densitySource: `${RULE}: 94 % carbide of 15.63 (CRC Handbook of Chemistry and Physics), 6 % nickel of 8.908`,
    f0: [0.42, 0.42, 0.43],
    f0Source:
      'from memory, LOW CONFIDENCE: polished cemented carbide is a neutral grey a little darker than titanium',
    nearest: 'titanium',
    composition: { WC: 94, Ni: 6 },
    compositionSource: 'common practice: rings are bound with nickel, as cobalt stains the skin',
    cautions: [
      `${COLOUR_GUESSED} ${NEVER_RESIZED} Very hard and brittle: it can crack or shatter from a knock on stone. Contains nickel, to which many people react; have the finished ring tested and follow local rules.`,
    ],
  }),
  darkMaterial({
    id: 'ceramic-black',
    label: 'Black ceramic',
    description: 'black zirconia ceramic',
    slug: 'CB',
    density: 6.05,
    densitySource: 'ISO 13356: zirconia ceramic of at least 6.00; 6.05 from memory',
    index: 2.16,
    surface:
      'an opaque black zirconia of index 2.16, that of cubic zirconia (GIA Gem Reference Guide, from memory)',
    cautions: [`${COLOUR_GUESSED} ${NEVER_RESIZED} Hard and brittle: it can break from a fall on stone.`],
  }),
  darkMaterial({
    id: 'carbon-fibre',
    label: 'Carbon fibre',
    description: 'carbon fibre in epoxy resin',
    slug: 'CF',
    density: 1.55,
    densitySource:
      'law of mixtures: 60 % by volume of fibre of 1.78, 40 % of epoxy of 1.2 (makers’ usual values, from memory)',
    index: 1.55,
    surface: 'the epoxy over black fibre, index 1.55 from memory; the weave is not drawn',
    cautions: [
      `${COLOUR_GUESSED} The weave of the fibre is not shown. ${NEVER_RESIZED} The resin dulls with wear, solvents and heat.`,
    ],
  }),
  darkMaterial({
    id: 'enamel-black',
    label: 'Black enamel',
    description: 'black vitreous enamel',
    slug: 'EB',
    density: 2.6,
    densitySource: 'from memory: lead-free enamels of 2.4 to 2.8',
    index: 1.52,
    surface: 'an opaque black glass of index 1.52 (soda-lime glass, from memory)',
    cautions: [
      `${COLOUR_GUESSED} Enamel is glass: it can chip and crack from knocks, from bending and when the ring is resized, and is mended by firing it anew.`,
    ],
  }),
];
