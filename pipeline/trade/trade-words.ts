import type { BenchRuleName } from './bench-limits.ts';
import type { BenchPhrases } from './bench-words.ts';
import type { CutName } from './cuts.ts';
import type { Treatment } from './declared-stone.ts';
import type { SizeSystemId } from './ring-size.ts';
import type { StoneOrigin } from './stones.ts';
import type { TexturePattern } from './textures.ts';

/** What the tables of the trade are called in one language. Ids were checked when the config was read. */
export interface TradeWords {
  /** alloy as a list names it */
  alloyLabel(id: string): string;
  /** alloy with its fineness */
  alloy(id: string): string;
  alloyCautions(id: string): readonly string[];
  /** stone without its origin, as a list names it */
  stoneLabel(id: string): string;
  /** stone with its declared origin right beside it (US 16 CFR 23.12, ISO 18323), treatments before them (23.24) */
  stone(id: string, origin: StoneOrigin, treatments?: readonly Treatment[]): string;
  stoneCautions(id: string): readonly string[];
  /** stone as a choice is labelled: no word for a mined stone, which its bare name means; every other origin is told */
  stoneChoice(id: string, origin: StoneOrigin | undefined, treatments?: readonly Treatment[]): string;
  noStones: string;
  cut(id: CutName): string;
  finish(id: string): string;
  hammered: string;
  /** relief of a lane */
  textures: Record<TexturePattern, string>;
  sizeSystem: Record<SizeSystemId, string>;
  /** names of the bench's rules */
  rules: Record<BenchRuleName, string>;
  /** what rules say of a shape */
  bench: BenchPhrases;
  /** @param english the source as the rule tells it */
  source(rule: BenchRuleName, english: string, ownLimit: boolean): string;
}
