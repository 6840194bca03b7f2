import { numberFormat } from '../trade/number-format.ts';
import { tradeWords } from '../trade/words.ts';
import type { AltWords } from './alt-text.ts';
import type { ShotName } from './plan.ts';

const TRADE = tradeWords('de');

const VIEWS: Record<ShotName, string> = {
  'three-quarter': 'Dreiviertelansicht',
  front: 'Ansicht von vorn',
  'flat-lay': 'Ansicht von oben',
  profile: 'Seitenansicht',
  macro: 'Nahaufnahme',
  inside: 'Blick in die Innenseite',
  turntable: 'Drehansicht',
  pair: 'Ein Paar Trauringe',
};

const und = (items: readonly string[]) =>
  items.length < 2 ? items.join('') : `${items.slice(0, -1).join(', ')} und ${items.at(-1)}`;

/** Stones stand in a list of their own, so that no name has to be inflected. */
export const ALT_GERMAN: AltWords = {
  picture: (view, bands) =>
    view === 'pair'
      ? `${bands.length > 2 ? 'Drei Trauringe, zusammen getragen' : VIEWS.pair}: ${bands.join('; ')}.`
      : `${VIEWS[view]} eines Traurings: ${bands.join('; ')}.`,
  band: (metals, stones, size, widthMm) => {
    const set = stones.length > 0 ? `, Steinbesatz: ${und(stones)}` : '';
    return `${und(metals)}${set}, Ringmaß ${size}, ${numberFormat('de', 0, 2).format(widthMm)} mm breit`;
  },
  alloy: TRADE.alloy,
  stone: (stone, origin, treatments, cut) => `${TRADE.stone(stone, origin, treatments)} (${TRADE.cut(cut)})`,
};
