/** What stones and metals bear at the bench, with a source on each row; what rules of a dress look up. */

export interface StoneCare {
  /** metal hammered, burnished or raised onto it may break it */
  brittle: boolean;
  /** heat of a torch breaks, bleaches or clouds it: it is set after all soldering and taken out before any */
  heatShy: boolean;
  /** its fissures are filled: no heat, no ultrasonic or steam cleaner */
  oiled: boolean;
  /** splits along planes when hit on a corner or a thin girdle */
  cleavable: boolean;
  source: string;
}

const DURABILITY = 'Martin 1987, Gemstone durability, Gems & Gemology 23';
const HEAT = 'orchid.ganoksin.com/t/what-stones-can-handle-heat/36223';
const BERYL = 'orchid.ganoksin.com/t/what-temp-do-diamonds-frost/70681';
const NOTHING = { brittle: false, heatShy: false, oiled: false, cleavable: false };

const beryl = { ...NOTHING, brittle: true, heatShy: true, source: `${BERYL}; brittle: common practice` };
const corundum = { ...NOTHING, source: `${HEAT}: untreated corundum bears heat; filled stones do not` };
const diamond = {
  ...NOTHING,
  cleavable: true,
  source: `${HEAT}: heat with care; perfect cleavage: from memory`,
};

/** What the rows below come from, as a check tells it. */
export const CARE_SOURCE = `${HEAT}; ${BERYL}; ${DURABILITY}; brittleness and cleavage: common practice and from memory`;

/** By id of `STONES`; a test holds the two equal. */
export const STONE_CARE: ReadonlyMap<string, StoneCare> = new Map<string, StoneCare>([
  ['diamond', diamond],
  ['champagne-diamond', diamond],
  [
    'black-diamond',
    { ...diamond, brittle: true, heatShy: true, source: `${HEAT}: included and filled diamonds` },
  ],
  ['moissanite', { ...NOTHING, source: 'from memory' }],
  ['ruby', corundum],
  ['sapphire-blue', corundum],
  ['sapphire-pink', corundum],
  [
    'emerald',
    {
      ...NOTHING,
      brittle: true,
      heatShy: true,
      oiled: true,
      source: `${BERYL}; ${DURABILITY}: full of fissures, mostly oiled`,
    },
  ],
  ['aquamarine', beryl],
  ['morganite', beryl],
  [
    'amethyst',
    { ...NOTHING, brittle: true, heatShy: true, source: `${HEAT}; ${DURABILITY}: bleached by heat` },
  ],
  [
    'cubic-zirconia',
    { ...NOTHING, brittle: true, source: `${HEAT}: heat if raised slowly; brittle: from memory` },
  ],
]);

/**
 * Alloys whose claws bend before those of 18 ct gold do, with how much thicker claws are made in them. Sterling annealed
 * has 75 HV (makers of silver), 22 ct gold about 70 HV (from memory), 18 ct gold 120 HV and more (from memory).
 */
export const SOFT_ALLOYS: ReadonlySet<string> = new Set(['yellow-22', 'silver-925', 'silver-925-gilt']);
/** Common practice. */
export const SOFT_CLAW_SHARE = 1.2;

/**
 * How a finished ring of a material comes to another size: not at all, so that it is made anew; a little larger only, by
 * stretching it or turning out its bore; or with its enamel taken out and fired anew. Gold's way, a piece soldered in or taken
 * out, is none of them.
 */
export type OtherSize = 'remade' | 'stretched' | 'enamelled-anew';

export interface MaterialCare {
  /** as gold unless given */
  resizing?: OtherSize;
  /** what else cannot be done to it or must be known, as rows of `bench-words.ts` */
  forbids: readonly ('no-soldering' | 'no-heat' | 'no-ultrasonic' | 'no-steam')[];
  /** breaks rather than bends: least radial metal of a lane of it, mm */
  brittleBelowMm?: number;
  /** usual thickness of a plating, µm */
  plating?: readonly [least: number, most: number];
  source: string;
}

const PRACTICE = 'common practice';

const STRETCHED: MaterialCare = {
  resizing: 'stretched',
  forbids: ['no-soldering'],
  source: `${PRACTICE}: nothing can be soldered in; about half a size is won by stretching or by turning out the bore, from memory`,
};
const SINTERED: MaterialCare = {
  resizing: 'remade',
  forbids: ['no-soldering'],
  brittleBelowMm: 1.5,
  source: `${PRACTICE}: sintered and ground; walls from 1.5 mm, from memory`,
};

/** A family of rows of `ALLOYS` that bear the same. */
const family = (care: MaterialCare, ...ids: string[]) => ids.map((id) => [id, care] as const);

const CERAMICS = ['ceramic-black', 'ceramic-white', 'ceramic-grey', 'ceramic-blue'];
export const ENAMELS = ['enamel-black', 'enamel-white', 'enamel-red', 'enamel-blue', 'enamel-green'];
const RESINS = ['resin-ivory', 'resin-turquoise', 'resin-coral'];
const WOODS = ['wood-walnut', 'wood-oak', 'wood-maple', 'wood-ebony'];
const MOKUME = ['mokume-rose-white', 'mokume-rose-silver', 'mokume-palladium-silver'];

/** What other materials than the bench's metals, and platings, bear. By id of `ALLOYS`. */
export const MATERIAL_CARE: ReadonlyMap<string, MaterialCare> = new Map<string, MaterialCare>([
  ['titanium', STRETCHED],
  ['tantalum', STRETCHED],
  [
    'zirconium-black',
    {
      resizing: 'remade',
      forbids: ['no-soldering'],
      source: `${PRACTICE}: no solder takes, and the oxide cracks where the ring is stretched and is gone where it is turned`,
    },
  ],
  ['tungsten-carbide', SINTERED],
  ...family(SINTERED, ...CERAMICS),
  [
    'carbon-fibre',
    {
      resizing: 'remade',
      forbids: ['no-soldering', 'no-heat', 'no-ultrasonic', 'no-steam'],
      source: `${PRACTICE}: epoxy softens from about 120 °C, from memory`,
    },
  ],
  ...family(
    {
      resizing: 'enamelled-anew',
      forbids: ['no-soldering', 'no-ultrasonic', 'no-steam'],
      source: `${PRACTICE}: enamel is fired at about 800 °C after all soldering and cracks when the metal under it is bent or heated unevenly`,
    },
    ...ENAMELS,
  ),
  ...family(
    {
      resizing: 'remade',
      forbids: ['no-soldering', 'no-heat', 'no-ultrasonic', 'no-steam'],
      source: `${PRACTICE}: epoxy softens from about 60 to 120 °C, from memory`,
    },
    ...RESINS,
  ),
  ...family(
    {
      resizing: 'remade',
      forbids: ['no-soldering', 'no-heat', 'no-ultrasonic', 'no-steam'],
      brittleBelowMm: 2,
      source: `${PRACTICE}: wood splits along the fibre, swells when wet and chars; walls from 2 mm where no metal carries it, from memory`,
    },
    ...WOODS,
  ),
  ...family(
    {
      resizing: 'stretched',
      forbids: ['no-soldering', 'no-heat'],
      source: `${PRACTICE}: a joint cuts through the pattern, and layers with silver part or melt near the eutectic of silver and copper at 779 °C, from memory`,
    },
    ...MOKUME,
  ),
  [
    'damask-steel',
    {
      resizing: 'remade',
      forbids: ['no-soldering'],
      source: `${PRACTICE}: hardened steel cracks when stretched, and heat spoils its temper and its etched face`,
    },
  ],
  [
    'silver-925-gilt',
    {
      forbids: [],
      plating: [2.5, 5],
      source: `${PRACTICE}: gold on rings is 2.5 to 5 µm thick; US 16 CFR 23.5 asks for 2.5 µm throughout of what is called vermeil, from memory`,
    },
  ],
  [
    'white-18-rhodium',
    { forbids: [], plating: [0.2, 0.5], source: `${PRACTICE}: rhodium on jewellery is 0.2 to 0.5 µm thick` },
  ],
  [
    'white-18-black-rhodium',
    {
      forbids: [],
      plating: [0.2, 0.5],
      source: `${PRACTICE}: black rhodium on jewellery is 0.2 to 0.5 µm thick`,
    },
  ],
]);

/** Worked from the solid: nothing can be soldered to them, and what is bent springs back or cracks. */
export const HARD_METALS: ReadonlySet<string> = new Set([
  'titanium',
  'tantalum',
  'zirconium-black',
  'tungsten-carbide',
  'carbon-fibre',
  ...CERAMICS,
  ...ENAMELS,
  ...RESINS,
  ...WOODS,
  ...MOKUME,
  'damask-steel',
]);
/** Of those the one whose colour is a skin. */
export const BLACK_OXIDE = 'zirconium-black';
