import { type FacetPlane, girdlePlanes } from './facet-plane.ts';
import { unit } from './vec.ts';

/** A tier of steps: half-width and half-length lost to it, and its height, all as shares of the width. */
export interface StepTier {
  /** drawn in from the long sides */
  side: number;
  /** drawn in from the ends */
  end: number;
  height: number;
}

export interface StepCutProportions {
  girdle: number;
  /** from the girdle up to the table */
  crown: readonly StepTier[];
  /** from the girdle down; the last one ends in the keel */
  pavilion: readonly StepTier[];
}

/**
 * Two rows of steps above (bijandiamonds.com), three below. Table 65 % and depth 64.5 % of the width as for other
 * step cuts (mydiamondcuts.com: 61–68 %, 60–65 %); steps of 40° and 28° above, 53°, 45° and 37° below, a little less
 * steep at the ends (common practice).
 */
export const FINE_BAGUETTE: StepCutProportions = {
  girdle: 0.03,
  crown: [
    { side: 0.075, end: 0.075, height: 0.063 },
    { side: 0.1, end: 0.1, height: 0.053 },
  ],
  pavilion: [
    { side: 0.14, end: 0.16, height: 0.186 },
    { side: 0.17, end: 0.19, height: 0.17 },
    { side: 0.19, end: 0.21, height: 0.143 },
  ],
};

const sum = (tiers: readonly StepTier[], key: keyof StepTier) => tiers.reduce((s, t) => s + t[key], 0);

export function stepCutHeights(widthMm: number, cut = FINE_BAGUETTE) {
  const halfGirdle = (cut.girdle * widthMm) / 2;
  return {
    halfGirdle,
    top: halfGirdle + sum(cut.crown, 'height') * widthMm,
    culet: halfGirdle + sum(cut.pavilion, 'height') * widthMm,
  };
}

/**
 * A step cut with sharp corners: table, four facets to each tier, four girdle sides. Every tier draws all four sides in by
 * so much each, square to them, so that all corners of a tier lie at one height; the last tier's long sides meet in a keel
 * along x, which rises to the narrow end of a tapered one.
 * @param narrow width at +x over that at −x, which is `widthMm`; 1 is a rectangle
 */
export function stepCut(lengthMm: number, widthMm: number, cut = FINE_BAGUETTE, narrow = 1): FacetPlane[] {
  const { halfGirdle, top } = stepCutHeights(widthMm, cut);
  const planes: FacetPlane[] = [{ facet: 'table', n: [0, 0, 1], d: top }];
  // of a long side's outward direction from y
  const lean = Math.atan2((widthMm * (1 - narrow)) / 2, lengthMm);
  const [sin, cos] = [Math.sin(lean), Math.cos(lean)];
  const middle = (widthMm * (1 + narrow)) / 4;
  for (const up of [1, -1] as const) {
    let [x, y, z] = [lengthMm / 2, middle * cos, up * halfGirdle];
    const facet = up === 1 ? 'upper-step' : 'lower-step';
    for (const { side, end, height } of up === 1 ? cut.crown : cut.pavilion) {
      const long = unit([0, height, up * side]);
      const short = unit([height, 0, up * end]);
      for (const sign of [1, -1]) {
        planes.push(
          {
            facet,
            n: [sin * long[1], sign * cos * long[1], long[2]],
            d: long[1] * y + long[2] * z,
          },
          { facet, n: [sign * short[0], 0, short[2]], d: short[0] * x + short[2] * z },
        );
      }
      x -= end * widthMm;
      y -= side * widthMm;
      z += up * height * widthMm;
    }
  }
  const [x, wide] = [lengthMm / 2, widthMm / 2];
  return [
    ...planes,
    ...girdlePlanes([
      [x, -wide * narrow],
      [x, wide * narrow],
      [-x, wide],
      [-x, -wide],
    ]),
  ];
}
