/** Cuts of stones, as the trade names them. */
export const CUT_NAMES = [
  'round-brilliant',
  'single-cut',
  'oval-brilliant',
  'marquise-brilliant',
  'pear-brilliant',
  'cushion-brilliant',
  'trilliant',
  'princess',
  'baguette',
  'tapered-baguette',
] as const;
export type CutName = (typeof CUT_NAMES)[number];

export interface Cut {
  id: CutName;
  label: string;
  /** round cuts have a diameter only */
  round: boolean;
  /** length over width: the usual one, and the range within which the cut is sound */
  ratio: { usual: number; least: number; most: number };
  /** one end or corner is unlike that across from it, so that it matters which way the stone lies */
  pointed?: 'along' | 'across';
  /**
   * Trade estimate of a diamond's weight: carats = factor · (length · width) · depth in mm; for ovals the square of the
   * mean diameter takes the place of length · width, for tapered stones the mean of both ends that of the width.
   */
  carats: {
    factor: number;
    area: 'length × width' | 'mean diameter squared' | 'length × mean width';
    source: string;
  };
  source: string;
}

const BENCH = 'bench textbook on estimating mounted diamonds';

const ROWS: Cut[] = [
  {
    id: 'round-brilliant',
    label: 'Round brilliant',
    round: true,
    ratio: { usual: 1, least: 1, most: 1 },
    carats: { factor: 0.0061, area: 'length × width', source: BENCH },
    source: '57 facets: diamondhelpers.com/glossary/full-cut',
  },
  {
    id: 'single-cut',
    label: 'Single cut',
    round: true,
    ratio: { usual: 1, least: 1, most: 1 },
    carats: { factor: 0.0061, area: 'length × width', source: `${BENCH}, given for rounds in general` },
    source: '17 facets, for stones up to about 0.03 ct: diamondhelpers.com/glossary/single-cut',
  },
  {
    id: 'oval-brilliant',
    label: 'Oval brilliant',
    round: false,
    ratio: { usual: 1.4, least: 1.1, most: 2 },
    // the square of the mean diameter is 3 % more than length · width at the usual 1.4 : 1 and 12.5 % more at 2 : 1,
    // while the solid keeps its share of length · width · depth: so long ovals weigh up to 14 % less than the formula says
    carats: { factor: 0.0062, area: 'mean diameter squared', source: BENCH },
    source: 'ratio: common practice; about 1.5: glitit.com/genuine-marquis-diamond',
  },
  {
    id: 'marquise-brilliant',
    label: 'Marquise brilliant',
    round: false,
    ratio: { usual: 2, least: 1.6, most: 2.6 },
    carats: {
      factor: 0.0058,
      area: 'length × width',
      source:
        'gemgate.com, weight of marquise cuts: .00580 for 2 : 1 (.00565 for 1.5, .00585 for 2.5), as blog.esslinger.com; gempulse.com: .0056–.0060',
    },
    source: 'ratio 1.75–2.25: lohiyasgalleria.com/diamond-education-and-guide-heart-shape-diamond',
  },
  {
    id: 'pear-brilliant',
    label: 'Pear brilliant',
    round: false,
    ratio: { usual: 1.5, least: 1.3, most: 1.8 },
    pointed: 'along',
    carats: {
      factor: 0.00597,
      area: 'length × width',
      source:
        'easycalculation.com/formulas/diamond-carat-weight-formula: .00597; blog.esslinger.com, by ratio: .00615 for 1.25, .00600 for 1.5, .00575 for 2',
    },
    source:
      'ratio 1.4–1.6: mydiamondcuts.com, ideal cuts of shapes; 1.5–1.75: yourjewel.com/EDUCATION/loosedia',
  },
  {
    id: 'cushion-brilliant',
    label: 'Cushion brilliant',
    round: false,
    ratio: { usual: 1, least: 1, most: 1.35 },
    carats: {
      factor: 0.0063,
      area: 'length × width',
      source:
        'dendritics.com/scales/standard-formula: square cushions .0018 · SG; .00815 for deep ones with an extra row below: easycalculation.com',
    },
    source: 'common practice (square up to 1.05, oblong 1.15–1.30)',
  },
  {
    id: 'trilliant',
    label: 'Trilliant',
    round: false,
    ratio: { usual: 1, least: 1, most: 1.07 },
    pointed: 'across',
    // one factor for all: it is that of sides bowed as they are at 1 : 1, and the straighter ones of 1.07 : 1 enclose 13 %
    // less of length · width, by which the solid is lighter than the formula says
    carats: {
      factor: 0.0057,
      area: 'length × width',
      source: `${BENCH}; mgc-labs.ru/en/formy-i-vidy-ogranki/trillion: .00570`,
    },
    source: 'ratio 1–1.07: diamondsonweb.com/glossary/T/trillion cut diamond',
  },
  {
    id: 'princess',
    label: 'Princess',
    round: false,
    ratio: { usual: 1, least: 1, most: 1.5 },
    carats: {
      factor: 0.0083,
      area: 'length × width',
      source: 'mgc-labs.ru/en/formy-i-vidy-ogranki/printsessa: .00830, more when oblong',
    },
    source: 'square up to 1.05: montyadams.com.au/princess-cut-diamond-engagement-rings',
  },
  {
    id: 'baguette',
    label: 'Baguette',
    round: false,
    ratio: { usual: 2, least: 1.2, most: 5 },
    // one factor for all: published ones of other step cuts rise with the ratio, as the solid does (blog.esslinger.com, emerald
    // cuts: .0092 for 1.5, .0100 for 2, .0106 for 2.5)
    carats: {
      factor: 0.00915,
      area: 'length × width',
      source: `${BENCH}; mgc-labs.ru/en/formy-i-vidy-ogranki/baget: .00915`,
    },
    source:
      'ratio about 3 : shop.kenanddanadesign.com/pages/baguette-cut-diamonds, up to 5: josephjewelry.com glossary',
  },
  {
    id: 'tapered-baguette',
    label: 'Tapered baguette',
    round: false,
    ratio: { usual: 2, least: 1.5, most: 4 },
    pointed: 'along',
    carats: {
      factor: 0.00915,
      area: 'length × mean width',
      source:
        'vcalc.com/wiki/KurtHeckman/Diamond+-+Tapered+Baguette: length · mean of both ends · depth · .00915',
    },
    source: 'ratio: common practice',
  },
];

/** Width of a tapered baguette's narrow end over that of its wide one (common practice: 0.6 to 0.8). */
export const BAGUETTE_TAPER = 0.7;

export const CUTS: ReadonlyMap<CutName, Cut> = new Map(ROWS.map((c) => [c.id, c]));

/** Trade estimate for a diamond of a cut, from its measures in mm. */
export function tradeCarats(cut: CutName, lengthMm: number, widthMm: number, depthMm: number): number {
  const { factor, area } = CUTS.get(cut)!.carats;
  const base = {
    'length × width': lengthMm * widthMm,
    'mean diameter squared': ((lengthMm + widthMm) / 2) ** 2,
    'length × mean width': (lengthMm * widthMm * (1 + BAGUETTE_TAPER)) / 2,
  };
  return factor * base[area] * depthMm;
}

/** Whether the narrow end of a stone that has one looks across its row, and not along it. */
export function pointsAcross(stone: { cut: CutName; diameterMm: number; lengthMm?: number }): boolean {
  const { cut, diameterMm, lengthMm = diameterMm } = stone;
  const { pointed } = CUTS.get(cut)!;
  return pointed !== undefined && (pointed === 'across') === lengthMm >= diameterMm;
}
