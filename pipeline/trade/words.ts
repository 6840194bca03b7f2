import { ALLOYS } from './alloys.ts';
import { CUTS, type CutName } from './cuts.ts';
import { FINISHES } from './finishes.ts';
import { declaredStone, STONES, type StoneOrigin } from './stones.ts';
import { GERMAN_TRADE } from './words-de.ts';

/** Languages that the catalogue and its papers are written in; tags of BCP 47. */
export const LANGUAGES = ['en', 'de'] as const;
export type Language = (typeof LANGUAGES)[number];

/** What the tables of the trade are called in one language. Ids were checked when the config was read. */
export interface TradeWords {
  /** alloy as a list names it */
  alloyLabel(id: string): string;
  /** alloy with its fineness */
  alloy(id: string): string;
  alloyCautions(id: string): readonly string[];
  /** stone without its origin, as a list names it */
  stoneLabel(id: string): string;
  /** stone with its declared origin right beside it (US 16 CFR 23.12, ISO 18323) */
  stone(id: string, origin: StoneOrigin): string;
  stoneCautions(id: string): readonly string[];
  cut(id: CutName): string;
  finish(id: string): string;
  hammered: string;
}

const ENGLISH_TRADE: TradeWords = {
  alloyLabel: (id) => ALLOYS.get(id)?.label ?? id,
  alloy: (id) => ALLOYS.get(id)?.description ?? id,
  alloyCautions: (id) => ALLOYS.get(id)?.cautions ?? [],
  stoneLabel: (id) => STONES.get(id)?.label ?? id,
  stone: declaredStone,
  stoneCautions: (id) => STONES.get(id)?.cautions ?? [],
  cut: (id) => CUTS.get(id)?.label.toLowerCase() ?? id,
  finish: (id) => FINISHES.get(id)?.label.toLowerCase() ?? id,
  hammered: 'hammered',
};

const WORDS: Record<Language, TradeWords> = { en: ENGLISH_TRADE, de: GERMAN_TRADE };

export function tradeWords(language: Language): TradeWords {
  return WORDS[language];
}
