import { ALLOYS } from './alloys.ts';
import { BENCH_RULE_NAMES, type BenchRuleName } from './bench-limits.ts';
import { BENCH_PHRASES, type BenchPhrases } from './bench-words.ts';
import { CUTS, type CutName } from './cuts.ts';
import { FINISHES } from './finishes.ts';
import { SIZE_SYSTEMS, type SizeSystemId } from './ring-size.ts';
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
  /** stone as a choice is labelled: no word for a mined stone, which its bare name means; every other origin is told */
  stoneChoice(id: string, origin: StoneOrigin | undefined): string;
  noStones: string;
  cut(id: CutName): string;
  finish(id: string): string;
  hammered: string;
  sizeSystem: Record<SizeSystemId, string>;
  /** names of the bench's rules */
  rules: Record<BenchRuleName, string>;
  /** what rules say of a shape */
  bench: BenchPhrases;
  /** @param english the source as the rule tells it */
  source(rule: BenchRuleName, english: string, ownLimit: boolean): string;
}

function stoneChoice(id: string, origin: StoneOrigin | undefined): string {
  const stone = STONES.get(id);
  const told = origin && origin !== 'natural' && stone?.origins.includes(origin);
  return capital(told ? declaredStone(id, origin) : (stone?.label ?? id));
}

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
  stoneChoice,
  noStones: 'No stones',
  sizeSystem: Object.fromEntries(SIZE_SYSTEMS.map((s) => [s.id, s.label])) as Record<SizeSystemId, string>,
  rules: Object.fromEntries(BENCH_RULE_NAMES.map((rule) => [rule, rule.replaceAll('-', ' ')])) as Record<
    BenchRuleName,
    string
  >,
  bench: BENCH_PHRASES,
  source: (_, english) => english,
};

const WORDS: Record<Language, TradeWords> = { en: ENGLISH_TRADE, de: GERMAN_TRADE };

export function tradeWords(language: Language): TradeWords {
  return WORDS[language];
}
