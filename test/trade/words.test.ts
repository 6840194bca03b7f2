import { describe, expect, it } from 'vitest';
import { GERMAN } from '../../pipeline/catalogue/alt-text-de.ts';
import { messagesOf } from '../../pipeline/publish/messages/locale.ts';
import { ALLOYS } from '../../pipeline/trade/alloys.ts';
import { CUT_NAMES } from '../../pipeline/trade/cuts.ts';
import { FINISHES } from '../../pipeline/trade/finishes.ts';
import { STONES } from '../../pipeline/trade/stones.ts';
import { LANGUAGES, tradeWords } from '../../pipeline/trade/words.ts';

const [en, de] = LANGUAGES.map((language) => tradeWords(language));

describe('words of the trade', () => {
  it('name every row of the tables in German, with as many cautions', () => {
    for (const { id, fineness } of ALLOYS.values()) {
      expect(de.alloyLabel(id), id).not.toBe(id);
      // the fineness stands beside the metal in both languages (16 CFR 23.3; Feingehaltsgesetz)
      if (fineness) expect(de.alloy(id), id).toContain(String(fineness));
      expect(de.alloyCautions(id).length, id).toBe(en.alloyCautions(id).length);
    }
    for (const { id, origins } of STONES.values()) {
      expect(de.stoneLabel(id), id).not.toBe(id);
      const names = origins.map((o) => de.stone(id, o));
      expect(new Set(names).size, id).toBe(origins.length);
      for (const [i, o] of origins.entries())
        expect(names[i]).toMatch(
          { natural: /^natürlicher /, 'laboratory-grown': /^synthetischer /, simulant: /\(Imitation\)$/ }[
            o
          ],
        );
      expect(de.stoneCautions(id).length, id).toBe(en.stoneCautions(id).length);
    }
    for (const cut of CUT_NAMES) expect(de.cut(cut)).toMatch(/schliff$/);
    for (const id of FINISHES.keys()) expect(de.finish(id), id).not.toBe(id);
  });

  it('refuses a declared origin that the table does not hold for', () => {
    expect(() => de.stone('diamond', 'simulant')).toThrow(RangeError);
  });
});

/** Every leaf of a table of messages, functions called with plain figures. */
function leaves(value: unknown, path = ''): [string, string][] {
  if (typeof value === 'string') return [[path, value]];
  if (typeof value === 'function') {
    const made = (value as (...a: unknown[]) => unknown)(
      ...Array(value.length).fill(/\.(and|pair)$/.test(path) ? ['1', '1'] : '1'),
    );
    return leaves(made, path);
  }
  return Object.entries(value as object).flatMap(([k, v]) => leaves(v, `${path}.${k}`));
}

describe('messages', () => {
  it('say everything in German too, in other words, with the same figures in them', () => {
    const [english, german] = LANGUAGES.map((l) => new Map(leaves(messagesOf(l))));
    expect([...german.keys()].sort()).toEqual([...english.keys()].sort());
    const figures = (text: string) => text.match(/\d+(?:[.,]\d+)?/g) ?? [];
    for (const [key, text] of english) {
      const other = german.get(key) ?? '';
      expect(other.trim(), key).not.toBe('');
      expect(figures(other).length, key).toBe(figures(text).length);
    }
    const same = [...english].filter(([key, text]) => german.get(key) === text).map(([key]) => key);
    // the one sign that both languages share
    expect(
      same.every(
        (key) => /boreFigures|stone$|colours\.silver/.test(key) || (english.get(key) ?? '').length < 8,
      ),
      same.join(),
    ).toBe(true);
  });

  it('alternative texts keep within what screen readers are given', () => {
    expect(GERMAN.picture('front', [GERMAN.band(['Platin 950'], [], 'ISO 54', 4.5)])).toBe(
      'Ansicht von vorn eines Traurings: Platin 950, Größe ISO 54, 4,5 mm breit.',
    );
  });
});
