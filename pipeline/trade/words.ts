import { ALLOYS } from './alloys.ts';
import { BENCH_RULE_NAMES, type BenchRuleName } from './bench-limits.ts';
import { BENCH_PHRASES } from './bench-words.ts';
import { CUTS } from './cuts.ts';
import { chosenStone, declaredStone } from './declared-stone.ts';
import { FINISHES } from './finishes.ts';
import type { Market } from './market.ts';
import { SIZE_SYSTEMS, type SizeSystemId } from './ring-size.ts';
import { STONES } from './stones.ts';
import type { TradeWords } from './trade-words.ts';
import { GERMAN_TRADE } from './words-de.ts';

/** Languages that the catalogue and its papers are written in; tags of BCP 47. */
export const LANGUAGES = ['en', 'de'] as const;
export type Language = (typeof LANGUAGES)[number];

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
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
  textures: {
    bark: 'bark relief',
    'sand-cast': 'sand-cast relief',
    linen: 'linen relief',
    florentine: 'Florentine lines',
    motif: 'motif in relief',
    picture: 'picture in relief',
  },
  stoneChoice: (id, origin, treatments) => capital(chosenStone(id, origin, treatments)),
  noStones: 'No stones',
  sizeSystem: Object.fromEntries(SIZE_SYSTEMS.map((s) => [s.id, s.label])) as Record<SizeSystemId, string>,
  rules: Object.fromEntries(BENCH_RULE_NAMES.map((rule) => [rule, rule.replaceAll('-', ' ')])) as Record<
    BenchRuleName,
    string
  >,
  bench: BENCH_PHRASES,
  source: (_, english) => english,
};

/** The fineness of gold where it is spelled with a k: US 16 CFR 23.3; Canada's marking act, from memory. */
const KARAT_TRADE: TradeWords = {
  ...ENGLISH_TRADE,
  alloyLabel: (id) => inKarat(ENGLISH_TRADE.alloyLabel(id)),
  alloy: (id) => inKarat(ENGLISH_TRADE.alloy(id)),
};

function inKarat(text: string): string {
  return text.replace(/(\d+) ct\b/g, '$1 K').replace(/(\d+) carat\b/g, '$1 karat');
}

const KARAT_COUNTRIES = ['US', 'CA'];

const WORDS: Record<Language, TradeWords> = { en: ENGLISH_TRADE, de: GERMAN_TRADE };

/** @param market whose spelling is used where a language has several */
export function tradeWords(language: Language, market?: Market): TradeWords {
  return language === 'en' && market && KARAT_COUNTRIES.includes(market.country)
    ? KARAT_TRADE
    : WORDS[language];
}
