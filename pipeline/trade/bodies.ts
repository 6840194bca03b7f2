import type { Alloy } from './alloy.ts';
import { COS_82, fresnelConductor } from './conductor.ts';
import { type Lab, linearOfLab } from './lab.ts';
import { bodyAlbedo, type Grain } from './matter.ts';
import { COLOUR_GUESSED, NEVER_RESIZED } from './other-materials.ts';
import type { Rgb } from './rgb.ts';

/** A material whose colour lies below a clear surface: light that enters comes back scattered. */
type Body = Pick<Alloy, 'id' | 'label' | 'description' | 'slug'> & {
  /** as a spectrophotometer sees it with the gloss counted */
  lab: Lab;
  /** of wood: early wood lies so much above late wood in L* */
  spread?: number;
  grain?: Grain;
};

/** What bodies of one stuff have in common. */
interface Stuff {
  index: number;
  density: number;
  densitySource: string;
  surface: string;
  cautions: readonly string[];
}

function bodyOf({ lab, spread = 0, grain, ...row }: Body, stuff: Stuff): Alloy {
  const { index, density, densitySource, surface, cautions } = stuff;
  const [l, a, b] = lab;
  const tone = (by: number) => bodyAlbedo(linearOfLab([l + by * spread, a, b]), index);
  const f0 = linearOfLab(lab);
  const grazing = fresnelConductor(index, 0, COS_82);
  const source = `CIELAB ${lab.join(', ')}, from memory, LOW CONFIDENCE: compare with a sample; ${surface}`;
  return {
    ...row,
    metal: 'none',
    uncastable: true,
    density,
    lab,
    f0,
    f82: bodyAlbedo(f0, index).map((r) => grazing + (1 - grazing) * r) as Rgb,
    // late wood is the lesser part of a year, and pores are darker still
    body: { index, tones: [tone(0.4), tone(-1.1)] },
    ...(grain && { grain }),
    colour: 'unmeasured',
    cautions,
    sources: {
      density: densitySource,
      f0: source,
      f82: 'Fresnel’s equations for the coat at 82° over the body',
    },
  };
}

const CERAMIC: Stuff = {
  index: 2.16,
  density: 6.05,
  densitySource: 'ISO 13356: zirconia ceramic of at least 6.00; 6.05 from memory',
  surface: 'surface of index 2.16, that of cubic zirconia (GIA Gem Reference Guide, from memory)',
  cautions: [`${COLOUR_GUESSED} ${NEVER_RESIZED} Hard and brittle: it can break from a fall on stone.`],
};

const ENAMEL: Stuff = {
  index: 1.52,
  density: 2.6,
  densitySource: 'from memory: lead-free enamels of 2.4 to 2.8',
  surface: 'an opaque glass of index 1.52 (soda-lime glass, from memory)',
  cautions: [
    `${COLOUR_GUESSED} Enamel is glass: it can chip and crack from knocks, from bending and when the ring is resized, and is mended by firing it anew.`,
  ],
};

const RESIN: Stuff = {
  index: 1.55,
  density: 1.2,
  densitySource: 'epoxy of 1.2 (makers’ usual value, from memory)',
  surface: 'an opaque epoxy of index 1.55, from memory',
  cautions: [
    `${COLOUR_GUESSED} ${NEVER_RESIZED} The resin dulls with wear, yellows in sunlight and is harmed by solvents and heat.`,
  ],
};

const WORN_WOOD = `${COLOUR_GUESSED} Each piece of wood has its own figure. ${NEVER_RESIZED} Wood swells, shrinks and darkens: take the ring off for washing and swimming, oil it a few times a year; the coat wears first on edges and the palm side.`;

const WOODS = 'engineeringtoolbox.com "Wood Species - Densities", seasoned and dry';

const wood = (density: number, given: string): Stuff => ({
  index: 1.5,
  density,
  densitySource: `${WOODS}: ${given}`,
  surface: 'under oil or lacquer of index 1.5, from memory',
  cautions: [WORN_WOOD],
});

/** @param ringMm from year to year, @param pores [width in mm, share of early wood]: both from memory */
const grainOf = (ringMm: number, pores: readonly [mm: number, share: number], waver: number): Grain => ({
  kind: 'wood',
  ringMm,
  pithMm: 18,
  round: false,
  poreMm: pores[0],
  poreShare: pores[1],
  waver,
  seed: 1,
});

// biome-ignore format: a table reads best as rows
export const BODIES: readonly Alloy[] = [
  bodyOf({ id: 'ceramic-white', label: 'White ceramic', description: 'white zirconia ceramic', slug: 'CW', lab: [93, -0.5, 2.5] }, CERAMIC),
  bodyOf({ id: 'ceramic-grey', label: 'Grey ceramic', description: 'grey zirconia ceramic', slug: 'CG', lab: [58, -0.5, 0.5] }, CERAMIC),
  bodyOf({ id: 'ceramic-blue', label: 'Blue ceramic', description: 'blue zirconia ceramic', slug: 'CU', lab: [45, -2, -26] }, CERAMIC),
  bodyOf({ id: 'enamel-white', label: 'White enamel', description: 'white vitreous enamel', slug: 'EW', lab: [91, -1, 2] }, ENAMEL),
  bodyOf({ id: 'enamel-red', label: 'Red enamel', description: 'red vitreous enamel', slug: 'ER', lab: [42, 44, 22] }, ENAMEL),
  bodyOf({ id: 'enamel-blue', label: 'Blue enamel', description: 'blue vitreous enamel', slug: 'EU', lab: [36, 4, -36] }, ENAMEL),
  bodyOf({ id: 'enamel-green', label: 'Green enamel', description: 'green vitreous enamel', slug: 'EG', lab: [44, -24, 12] }, ENAMEL),
  bodyOf({ id: 'resin-ivory', label: 'Ivory-coloured resin', description: 'ivory-coloured epoxy resin', slug: 'RI', lab: [88, 1, 11] }, RESIN),
  bodyOf({ id: 'resin-turquoise', label: 'Turquoise resin', description: 'turquoise-coloured epoxy resin', slug: 'RT', lab: [62, -26, -10] }, RESIN),
  bodyOf({ id: 'resin-coral', label: 'Coral-coloured resin', description: 'coral-coloured epoxy resin', slug: 'RC', lab: [60, 38, 24] }, RESIN),
  bodyOf({ id: 'wood-walnut', label: 'Walnut', description: 'oiled walnut wood', slug: 'WW', lab: [39, 10, 18], spread: 17, grain: grainOf(1.6, [0.13, 0.22], 0.9) }, wood(0.63, 'American black walnut 0.63')),
  bodyOf({ id: 'wood-oak', label: 'Oak', description: 'oiled oak wood', slug: 'WO', lab: [62, 7, 23], spread: 15, grain: grainOf(1.4, [0.2, 0.32], 0.5) }, wood(0.75, 'oak 0.60 to 0.90')),
  bodyOf({ id: 'wood-maple', label: 'Maple', description: 'oiled maple wood', slug: 'WM', lab: [78, 5, 19], spread: 9, grain: grainOf(1.3, [0.06, 0.08], 0.8) }, wood(0.685, 'maple 0.62 to 0.75')),
  bodyOf({ id: 'wood-ebony', label: 'Ebony', description: 'oiled ebony wood', slug: 'WE', lab: [25, 1.5, 2.5], spread: 6, grain: grainOf(1.1, [0.08, 0.1], 0.6) }, wood(1.22, 'ebony 1.11 to 1.33')),
];
