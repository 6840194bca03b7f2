/**
 * What small round diamonds weigh as they are bought. They are cut deeper and with thicker girdles than the solid that is
 * drawn, so parcels weigh 14 to 26 % more than that between 1.0 and 1.8 mm; what is bought and charged goes by the chart.
 *
 * Diameter mm → carats each. aakashdiamonds.com/melee-yellow.html; its 1.1 and 1.2 mm, printed .065 and .075, are read as
 * .0065 and .0075, as its stones per carat beside them say. Stones above 4 mm are no melee and are weighed one by one.
 */
export const MELEE_CHART: readonly (readonly [diameterMm: number, carats: number])[] = [
  [0.8, 0.0035],
  [0.9, 0.004],
  [1.0, 0.005],
  [1.1, 0.0065],
  [1.2, 0.0075],
  [1.3, 0.01],
  [1.4, 0.0125],
  [1.5, 0.015],
  [1.6, 0.0185],
  [1.7, 0.022],
  [1.8, 0.025],
  [1.9, 0.03],
  [2.0, 0.035],
  [2.1, 0.04],
  [2.2, 0.045],
  [2.3, 0.05],
  [2.4, 0.06],
  [2.5, 0.065],
  [2.6, 0.07],
  [2.7, 0.08],
  [2.8, 0.09],
  [2.9, 0.1],
  [3.0, 0.11],
  [3.25, 0.14],
  [3.5, 0.17],
  [3.75, 0.21],
  [4.0, 0.25],
];
export const MELEE_SOURCE = 'aakashdiamonds.com/melee-yellow.html';

/** g/cm³ of the stone that the chart is for; other species weigh by their own density. Common practice. */
const CHARTED_DENSITY = 3.52;

/**
 * Carats of one round brilliant by the chart, between two of its sizes by the cube of the diameter.
 * @returns undefined outside the chart
 */
export function chartedCarats(diameterMm: number, densityGcm3: number): number | undefined {
  const at = MELEE_CHART.findIndex(([d]) => d >= diameterMm - 1e-6);
  if (at < 0 || (at === 0 && diameterMm < MELEE_CHART[0][0] - 1e-6)) return undefined;
  const [to, above] = MELEE_CHART[at];
  const [from, below] = MELEE_CHART[Math.max(0, at - 1)];
  const share = to === from ? 0 : Math.min(1, Math.max(0, (diameterMm - from) / (to - from)));
  const perCube = (below / from ** 3) * (1 - share) + (above / to ** 3) * share;
  const carats = to === from ? above : perCube * diameterMm ** 3;
  return (carats * densityGcm3) / CHARTED_DENSITY;
}

/** A supplier's own figure for a stone of one cut and size. */
export interface SuppliedWeight {
  stone: string;
  cut: string;
  /** across the row; the diameter of round cuts */
  diameterMm: number;
  /** along the row, for cuts that are not round */
  lengthMm?: number;
  /** each */
  carats: number;
}

/** Where a weight comes from. */
export type WeightBasis = 'supplier' | 'chart' | 'solid';

export const WEIGHT_SOURCES: Record<WeightBasis, string> = {
  supplier: 'the supplier’s own table',
  chart: `trade chart by diameter: ${MELEE_SOURCE}`,
  solid: 'computed from cut and density',
};

/** Sizes are sold in steps of 0.05 mm at the finest; within this two are the same. */
const SAME_SIZE_MM = 0.005;

/** Carats of one stone: the supplier's figure if there is one, else the chart's, else the solid's own. */
export function boughtCarats(
  stone: { id: string; density: number },
  size: Pick<SuppliedWeight, 'cut' | 'diameterMm' | 'lengthMm'>,
  solidCarats: number,
  supplied: readonly SuppliedWeight[] = [],
): { carats: number; from: WeightBasis } {
  const same = (a: number | undefined, b: number | undefined) =>
    a === b || (a !== undefined && b !== undefined && Math.abs(a - b) < SAME_SIZE_MM);
  const own = supplied.find(
    (s) =>
      s.stone === stone.id &&
      s.cut === size.cut &&
      same(s.diameterMm, size.diameterMm) &&
      same(s.lengthMm, size.lengthMm),
  );
  if (own) return { carats: own.carats, from: 'supplier' };
  const charted = size.cut === 'round-brilliant' ? chartedCarats(size.diameterMm, stone.density) : undefined;
  return charted === undefined ? { carats: solidCarats, from: 'solid' } : { carats: charted, from: 'chart' };
}
