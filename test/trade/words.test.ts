import { describe, expect, it } from 'vitest';
import { ALT_GERMAN } from '../../pipeline/plan/alt-text-de.ts';
import { ALLOYS } from '../../pipeline/trade/alloys.ts';
import { GERMAN_SOURCES } from '../../pipeline/trade/bench-rules-de.ts';
import { CUT_NAMES } from '../../pipeline/trade/cuts.ts';
import { FINISHES } from '../../pipeline/trade/finishes.ts';
import { MARKETS, markedBy } from '../../pipeline/trade/market.ts';
import { STONES } from '../../pipeline/trade/stones.ts';
import { LANGUAGES, tradeWords } from '../../pipeline/trade/words.ts';
import { generalCautions, messagesOf } from '../../pipeline/words/locale.ts';

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
          { natural: /^natürlicher /, 'laboratory-grown': /^synthetischer /, simulant: /\(Imitation\)$/ }[o],
        );
      expect(de.stoneCautions(id).length, id).toBe(en.stoneCautions(id).length);
    }
    for (const cut of CUT_NAMES) expect(de.cut(cut)).toMatch(/schliff$/);
    for (const id of FINISHES.keys()) expect(de.finish(id), id).not.toBe(id);
  });

  it('spell the fineness of gold as the market does: 16 CFR 23.3 has karat', () => {
    const [us, gb] = ['US', 'GB'].map((country) => tradeWords('en', MARKETS.get(country)));
    for (const { id, metal } of ALLOYS.values()) {
      if (metal !== 'gold') continue;
      expect(us.alloy(id)).toMatch(/^\d+ karat .*gold \(\d{3}\)/);
      expect(us.alloyLabel(id)).toMatch(/ \d+ K(,|$)/);
      expect(gb.alloy(id)).toMatch(/^\d+ carat .*gold/);
      // fine gold is 999 parts in a thousand: common practice
      for (const words of [us, gb, de])
        expect(`${words.alloy(id)} ${words.alloyLabel(id)}`).not.toMatch(/\b(fine|Fein)/i);
    }
    expect(tradeWords('de', MARKETS.get('US'))).toBe(de);
  });

  it('refuses a declared origin that the table does not hold for', () => {
    expect(() => de.stone('diamond', 'simulant')).toThrow(RangeError);
  });
});

const GERMAN_MESSAGES = messagesOf('de');

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

describe('marks of fineness', () => {
  const told = (language: 'en' | 'de', country?: string) =>
    [
      ...generalCautions(language, MARKETS.get(country ?? '')),
      messagesOf(language).proof.marks[markedBy(MARKETS.get(country ?? ''))],
    ].join(' ');

  it('name an office only where one assays, as in the UK, and none in Germany and the United States', () => {
    expect(told('en', 'GB')).toMatch(/ask your assay office.*ask us or your assay office/);
    expect(told('en', 'US')).not.toMatch(/your assay office/);
    expect(told('en', 'US')).toMatch(/No assay office need mark a ring here/);
    expect(told('de', 'DE')).not.toMatch(/Punzierung/);
    expect(told('de', 'DE')).toMatch(/prüft hier kein Amt vorab.*Feingehaltsgesetz/);
    expect(told('de', 'CH')).toMatch(/das Amt, das in Ihrem Land Edelmetall prüft/);
    expect(told('en')).toMatch(/where there is one, an assay office/);
  });

  it('plating is told as what it means to a couple', () => {
    expect(en.alloyCautions('white-18-rhodium').join()).toMatch(/wears off.*plated again/);
    expect(de.alloyCautions('white-18-rhodium').join()).toMatch(/trägt sich.*ab.*neu rhodiniert/);
  });
});

describe('German as a goldsmith writes it', () => {
  it('has no word of the drawing board where the bench has its own', () => {
    const cautions = [...ALLOYS.keys()].map(de.alloyCautions);
    const texts = leaves([GERMAN_MESSAGES, de.bench, de.rules, GERMAN_SOURCES, cautions]);
    const wrong =
      /\b(Naht|Nähte\w*|Werkbank|hohlrund|Ringgröße\w*|Überstand|Rondiste|Punzierung\w*|laborgezüchtet\w*)\b/i;
    expect(texts.filter(([, text]) => wrong.test(text))).toEqual([]);
    const { sections, passed } = GERMAN_MESSAGES.bench;
    expect([sections.d, sections.concave, sections['knife-edge'], passed]).toEqual([
      'halbrund',
      'konkav',
      'dachförmig',
      'i. O.',
    ]);
    expect(de.rules['claw-bite']).toBe('Übergriff der Krappen');
    expect(de.rules['grain-floor']).toBe('Boden unter der Verschnittfläche');
    expect(GERMAN_MESSAGES.wording.asked).toContain('kaufmännisch gerundet');
    expect(GERMAN_MESSAGES.proof.article).toBe('Artikelnummer');
    expect(de.stone('ruby', 'laboratory-grown', ['heated'])).toBe('erhitzter synthetischer Rubin');
  });
});

describe('choices of stones', () => {
  it('begin with a capital, and tell every origin but a mined one', () => {
    expect(en.stoneChoice('ruby', 'natural', ['heated'])).toBe('Heated ruby');
    expect(en.stoneChoice('diamond', 'laboratory-grown')).toBe('Laboratory-grown diamond');
    expect(de.stoneChoice('ruby', 'natural', ['heated'])).toBe('Erhitzter Rubin');
    expect(de.stoneChoice('diamond', 'laboratory-grown')).toBe('Synthetischer Diamant');
    expect(de.stoneChoice('cubic-zirconia', 'simulant')).toContain('(Imitation)');
    expect(de.stoneChoice('emerald', undefined, ['undetermined'])).toBe(
      'Smaragd (Behandlung nicht bestimmt)',
    );
    // an origin that the stone cannot have is not told
    expect(de.stoneChoice('diamond', 'simulant')).toBe('Diamant');
    expect(de.stoneLabel('diamond')).toBe('Diamant');
  });

  it('of alloys are short, their names long', () => {
    expect([de.alloyLabel('platinum-950'), de.alloy('platinum-950')]).toEqual([
      'Platin 950',
      de.alloy('platinum-950'),
    ]);
    expect(de.alloyLabel('yellow-18')).not.toBe(de.alloy('yellow-18'));
    expect(de.alloy('yellow-18').length).toBeGreaterThan(de.alloyLabel('yellow-18').length);
  });

  it('of limits tell a source of one’s own apart', () => {
    expect(de.source('cast-wall', '', true)).not.toBe(de.source('cast-wall', '', false));
    expect(de.source('cast-wall', '', true)).toContain(de.source('cast-wall', '', false));
  });
});

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
    expect(ALT_GERMAN.picture('front', [ALT_GERMAN.band(['Platin 950'], [], 'ISO 54', 4.5)])).toBe(
      'Ansicht von vorn eines Traurings: Platin 950, Ringmaß ISO 54, 4,5 mm breit.',
    );
  });
});
