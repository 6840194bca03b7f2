/** Everything that the English tables say and the German ones don't, to look for in papers that should be German. */

import { ALLOYS } from '../../pipeline/trade/alloys.ts';
import { CUT_NAMES } from '../../pipeline/trade/cuts.ts';
import { FINISHES } from '../../pipeline/trade/finishes.ts';
import { STONES } from '../../pipeline/trade/stones.ts';
import { type Language, tradeWords } from '../../pipeline/trade/words.ts';
import { messagesOf } from '../../pipeline/words/locale.ts';

const GAP = '\u0001';

/** What a table says, with gaps for amounts; functions are called with several kinds of them. */
function textsOf(value: unknown): string[] {
  if (typeof value === 'string') return [value.replace(/\{\w+\}/g, GAP)];
  if (typeof value === 'function') {
    const kinds = [GAP, 2, false, undefined, [GAP, GAP], 'low', 'as-cast'];
    return kinds.flatMap((kind) => {
      try {
        return textsOf((value as (...a: unknown[]) => unknown)(...Array(value.length).fill(kind)));
      } catch {
        return [];
      }
    });
  }
  return value && typeof value === 'object' ? Object.values(value).flatMap(textsOf) : [];
}

function tablesOf(language: Language): string[] {
  const words = tradeWords(language);
  return [
    ...textsOf(messagesOf(language)),
    ...textsOf([words.bench, words.rules, words.sizeSystem, words.hammered, words.noStones]),
    ...[...ALLOYS.keys()].flatMap((id) => [
      words.alloy(id),
      words.alloyLabel(id),
      ...words.alloyCautions(id),
    ]),
    ...[...STONES.values()].flatMap(({ id, origins }) => [
      words.stoneLabel(id),
      ...words.stoneCautions(id),
      ...origins.flatMap((o) => [words.stone(id, o), words.stoneChoice(id, o)]),
    ]),
    ...CUT_NAMES.map(words.cut),
    ...[...FINISHES.keys()].map(words.finish),
  ];
}

/** Between amounts, without the punctuation at their ends. */
function piecesOf(texts: readonly string[]): Set<string> {
  const pieces = texts.flatMap((text) => text.split(new RegExp(`${GAP}|undefined|false|\\b2\\b`)));
  return new Set(pieces.map((p) => p.replace(/^[^\p{L}]+|[^\p{L}]+$/gu, '')));
}

const around = (piece: string) =>
  new RegExp(`(?<!\\p{L})${piece.replace(/[.*+?^${}()|[\]\\]/g, '\\$&')}(?!\\p{L})`, 'u');

/** Pieces of at least four letters that stand in no German text. */
export function englishPieces(): string[] {
  const german = tablesOf('de').join('\n');
  return [...piecesOf(tablesOf('en'))].filter(
    (p) => p.length >= 4 && !(german.includes(p) && around(p).test(german)),
  );
}

/** @returns the English pieces that a text holds */
export function foundEnglish(text: string, pieces: readonly string[]): string[] {
  // most stand nowhere, and that is seen without an expression
  return pieces.filter((piece) => text.includes(piece) && around(piece).test(text));
}
