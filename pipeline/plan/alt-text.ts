/**
 * Alternative texts of pictures: what is depicted first as ids and numbers, without language, then in the words of
 * one language. They tell what a buyer would see and must know: view, alloys with their fineness, stones with their
 * declared origin, size and width. How many stones there are is decided by the solids and stands in the facts.
 */
import type { CutName } from '../trade/cuts.ts';
import type { Treatment } from '../trade/declared-stone.ts';
import type { Market } from '../trade/market.ts';
import type { StoneOrigin } from '../trade/stones.ts';
import { tradeWords } from '../trade/words.ts';
import { type ShapeDesign, sortsOf } from './design.ts';
import type { AlloyId, ShotName, StoneId, Variant } from './plan.ts';

/** One band as a picture shows it. */
export interface DepictedBand {
  /** each once, in the order of the lanes */
  alloys: AlloyId[];
  /** each once, in the order of the rows */
  stones: { stone: StoneId; origin: StoneOrigin; treatments: Treatment[]; cut: CutName }[];
  /** marked ring size as the catalogue names it */
  size: string;
  widthMm: number;
  /** of a tapered band */
  backWidthMm?: number;
}

/** How one language says it. */
export interface AltWords {
  picture(view: ShotName, bands: readonly string[]): string;
  band(
    metals: readonly string[],
    stones: readonly string[],
    size: string,
    widthMm: number,
    backWidthMm?: number,
  ): string;
  /** @param market whose spelling is used where a language has several */
  alloy(id: AlloyId, market?: Market): string;
  stone(stone: StoneId, origin: StoneOrigin, treatments: readonly Treatment[], cut: CutName): string;
}

const and = (items: readonly string[]) =>
  items.length < 2 ? items.join('') : `${items.slice(0, -1).join(', ')} and ${items.at(-1)}`;

const TRADE = tradeWords('en');

const VIEWS: Record<ShotName, string> = {
  'three-quarter': 'Three-quarter view',
  front: 'Front view',
  'flat-lay': 'View from above',
  profile: 'Profile',
  macro: 'Close-up',
  inside: 'View into the bore',
  turntable: 'Turning view',
  pair: 'Pair of wedding bands',
};

export const ALT_ENGLISH: AltWords = {
  picture: (view, bands) =>
    view === 'pair'
      ? `${bands.length > 2 ? 'Three wedding bands worn together' : VIEWS.pair}: ${bands.join('; ')}.`
      : `${VIEWS[view]} of a wedding band: ${bands.join('; ')}.`,
  band: (metals, stones, size, widthMm, backWidthMm = widthMm) => {
    const mm = (value: number) => `${Number(value.toFixed(2))} mm`;
    const taper = backWidthMm === widthMm ? '' : `, ${mm(backWidthMm)} at the back`;
    const set = stones.length > 0 ? `, set with ${and(stones)}` : '';
    return `${and(metals)}${set}, size ${size}, ${mm(widthMm)} wide${taper}`;
  },
  alloy: (id, market) => tradeWords('en', market).alloy(id),
  stone: (stone, origin, treatments, cut) => `${TRADE.stone(stone, origin, treatments)} (${TRADE.cut(cut)})`,
};

export function depict(band: Variant, design: ShapeDesign): DepictedBand {
  const { alloys, stones } = band.dress;
  const shown = new Map<string, DepictedBand['stones'][number]>();
  design.rows.flatMap(sortsOf).forEach(({ cut }, i) => {
    const seen = { stone: stones[i], origin: band.origins[i], treatments: band.treatments[i], cut };
    shown.set(Object.values(seen).join(' '), seen);
  });
  const iso = `ISO ${Number(design.circumferenceMm.toFixed(1))}`;
  return {
    alloys: [...new Set(alloys)],
    stones: [...shown.values()],
    size: band.axes.size ?? iso,
    widthMm: design.widthMm,
    ...(design.taper && { backWidthMm: design.taper.widthMm }),
  };
}

/** @param bands one, or the two or three of a pair */
export function altText(
  view: ShotName,
  bands: readonly { band: Variant; design: ShapeDesign }[],
  words: AltWords = ALT_ENGLISH,
  market?: Market,
): string {
  const told = bands.map(({ band, design }) => {
    const { alloys, stones, size, widthMm, backWidthMm } = depict(band, design);
    return words.band(
      alloys.map((id) => words.alloy(id, market)),
      stones.map((s) => words.stone(s.stone, s.origin, s.treatments, s.cut)),
      size,
      widthMm,
      backWidthMm,
    );
  });
  return words.picture(view, told);
}
