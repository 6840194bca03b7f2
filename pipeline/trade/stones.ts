import type { Rgb } from './rgb.ts';
import { absorptionPerMm, cauchy, OPTICS } from './stone-optics.ts';

/**
 * What a stone was declared to be. A picture cannot tell and a table must not guess, so the config says it.
 * US 16 CFR 23.12 and 23.25 and ISO 18323 ask for the word right beside the stone's name.
 */
export type StoneOrigin = 'natural' | 'laboratory-grown' | 'simulant';

export const STONE_ORIGINS: readonly StoneOrigin[] = ['natural', 'laboratory-grown', 'simulant'];

export interface StoneKind {
  id: string;
  /** name in the catalogue, without its origin */
  label: string;
  species: string;
  /** short form for SKUs; `stoneSlug` tells a grown stone from a mined one */
  slug: string;
  /** usually treated in some way, so that the treatment must be declared: from memory, trade practice */
  treated: boolean;
  /** origins that may be declared for it: those whose density, index and colour are the ones given here */
  origins: readonly StoneOrigin[];
  /** g/cm³, the same number as specific gravity */
  density: number;
  /** refractive index at 589.3 nm */
  indexD: number;
  /** index at 430.8 nm (G) less index at 686.7 nm (B) */
  dispersionBG: number;
  /** stones with one optics id bend light alike and may share paths */
  optics: string;
  /** n(λ) = A + B/λ², λ in µm */
  cauchyA: number;
  cauchyB: number;
  /** Napierian absorption per mm, linear Rec. 709 */
  absorption: Rgb;
  sources: { density: string; optics: string; colour: string };
  cautions: readonly string[];
}

interface StoneRowInput {
  id: string;
  label: string;
  species: string;
  slug: string;
  optics: keyof typeof OPTICS;
  density: number;
  densitySource: string;
  /** linear Rec. 709 colour of light after `overMm` of the stone */
  transmission: Rgb;
  overMm: number;
  colourSource: string;
  origins?: readonly StoneOrigin[];
  treated?: true;
  cautions?: readonly string[];
}

const MINED_OR_GROWN: readonly StoneOrigin[] = ['natural', 'laboratory-grown'];
const SG = 'gemmology-dev species data; Read, Gemmology, 3rd ed. 2005, appendix tables (from memory)';

/**
 * Hue choices, all from memory and common practice. A face-up brilliant's mean path is 2 to 2.5 times its
 * depth, so colours are given over 2 mm: about that path in a 1.5 mm stone. Body colours are as strong as a
 * jeweller picks for melee, where a fine large stone's colour would look pale.
 */
const HUE = 'from memory / common practice: strong body colour as selected for melee';
const CR = `${HUE}; chromium bands near 410 and 550 nm (from memory)`;

function stone(row: StoneRowInput): StoneKind {
  const o = OPTICS[row.optics];
  return {
    id: row.id,
    label: row.label,
    species: row.species,
    slug: row.slug,
    treated: row.treated ?? false,
    origins: row.origins ?? MINED_OR_GROWN,
    density: row.density,
    indexD: o.indexD,
    dispersionBG: o.dispersionBG,
    optics: row.optics,
    ...cauchy(o.indexD, o.dispersionBG),
    absorption: absorptionPerMm(row.transmission, row.overMm),
    sources: { density: row.densitySource, optics: o.source, colour: row.colourSource },
    cautions: row.cautions ?? [],
  };
}

const ROWS: StoneKind[] = [
  stone({
    id: 'diamond',
    label: 'Diamond',
    species: 'diamond',
    slug: 'DIA',
    optics: 'diamond',
    density: 3.52,
    densitySource: `${SG}; 16 CFR 23.12`,
    transmission: [1, 1, 1],
    overMm: 1,
    colourSource: 'colourless',
  }),
  stone({
    id: 'champagne-diamond',
    label: 'Champagne diamond',
    species: 'diamond',
    slug: 'CHA',
    treated: true,
    optics: 'diamond',
    density: 3.52,
    densitySource: SG,
    transmission: [0.8, 0.6, 0.36],
    overMm: 2,
    colourSource: HUE,
  }),
  stone({
    id: 'black-diamond',
    label: 'Black diamond',
    species: 'diamond',
    slug: 'BLK',
    treated: true,
    optics: 'diamond',
    density: 3.52,
    densitySource: SG,
    transmission: [0.001, 0.001, 0.001],
    overMm: 0.3,
    colourSource: `${HUE}; opaque by inclusions, shown as very strong absorption`,
  }),
  stone({
    id: 'moissanite',
    label: 'Moissanite',
    species: 'moissanite',
    slug: 'MOI',
    optics: 'moissanite',
    density: 3.22,
    densitySource: 'from memory',
    transmission: [0.985, 0.985, 0.965],
    overMm: 2,
    colourSource: HUE,
    origins: ['laboratory-grown', 'simulant'],
    cautions: [
      'Shown with its ordinary ray only: the doubling of back facets that a loupe shows is left out.',
    ],
  }),
  stone({
    id: 'ruby',
    label: 'Ruby',
    species: 'corundum',
    slug: 'RUB',
    treated: true,
    optics: 'corundum',
    density: 4.0,
    densitySource: `${SG}: 3.97–4.05`,
    transmission: [0.8, 0.035, 0.1],
    overMm: 2,
    colourSource: CR,
  }),
  stone({
    id: 'sapphire-blue',
    label: 'Blue sapphire',
    species: 'corundum',
    slug: 'SAPBL',
    treated: true,
    optics: 'corundum',
    density: 4.0,
    densitySource: `${SG}: 3.97–4.05`,
    transmission: [0.05, 0.14, 0.68],
    overMm: 2,
    colourSource: `${HUE}; Fe–Ti band near 570 nm (from memory)`,
  }),
  stone({
    id: 'sapphire-pink',
    label: 'Pink sapphire',
    species: 'corundum',
    slug: 'SAPPK',
    treated: true,
    optics: 'corundum',
    density: 4.0,
    densitySource: `${SG}: 3.97–4.05`,
    transmission: [0.93, 0.34, 0.58],
    overMm: 2,
    colourSource: CR,
  }),
  stone({
    id: 'emerald',
    label: 'Emerald',
    species: 'beryl',
    slug: 'EME',
    treated: true,
    optics: 'beryl',
    density: 2.72,
    densitySource: `${SG}: 2.67–2.90`,
    transmission: [0.05, 0.6, 0.2],
    overMm: 2,
    colourSource: `${HUE}; bands near 430 and 600–630 nm (from memory)`,
  }),
  stone({
    id: 'aquamarine',
    label: 'Aquamarine',
    species: 'beryl',
    slug: 'AQU',
    treated: true,
    optics: 'beryl',
    density: 2.72,
    densitySource: `${SG}: 2.67–2.90`,
    transmission: [0.55, 0.86, 0.92],
    overMm: 2,
    colourSource: HUE,
  }),
  stone({
    id: 'morganite',
    label: 'Morganite',
    species: 'beryl',
    slug: 'MOR',
    treated: true,
    optics: 'beryl',
    density: 2.72,
    densitySource: `${SG}: 2.67–2.90`,
    transmission: [0.95, 0.68, 0.62],
    overMm: 2,
    colourSource: HUE,
  }),
  stone({
    id: 'amethyst',
    label: 'Amethyst',
    species: 'quartz',
    slug: 'AME',
    optics: 'quartz',
    density: 2.65,
    densitySource: `${SG}: 2.65–2.66`,
    transmission: [0.4, 0.12, 0.66],
    overMm: 2,
    colourSource: `${HUE}; broad band near 545 nm (from memory)`,
  }),
  stone({
    id: 'cubic-zirconia',
    label: 'Cubic zirconia',
    species: 'cubic zirconia',
    slug: 'CZ',
    optics: 'cubic-zirconia',
    density: 5.8,
    densitySource: 'from memory: 5.6–6.0',
    transmission: [1, 1, 1],
    overMm: 1,
    colourSource: 'colourless',
    // grown too, but never sold in its own name's right: it stands for a diamond (ISO 18323, from memory)
    origins: ['simulant'],
  }),
];

export const STONES: ReadonlyMap<string, StoneKind> = new Map(ROWS.map((s) => [s.id, s]));
