import { describe, expect, it } from 'vitest';
import { BENCH_RULES } from '../../pipeline/setting/bench-rules.ts';
import { BENCH_RULE_NAMES } from '../../pipeline/trade/bench-limits.ts';
import { GERMAN_RULES, GERMAN_SOURCES, germanOwnLimit } from '../../pipeline/trade/bench-rules-de.ts';
import { angleRound, BENCH_PHRASES, inEnglish, phrase, tell } from '../../pipeline/trade/bench-words.ts';
import { GERMAN_PHRASES } from '../../pipeline/trade/bench-words-de.ts';
import { englishPieces, foundEnglish } from './english-words.ts';

describe('phrases of the bench', () => {
  it('hold the same amounts in both languages', () => {
    const amounts = (text: string) => [...text.matchAll(/\{(\w+)\}/g)].map((m) => m[1]).sort();
    for (const [key, text] of Object.entries(BENCH_PHRASES)) {
      expect(amounts(GERMAN_PHRASES[key as keyof typeof BENCH_PHRASES]), key).toEqual(amounts(text));
    }
  });

  it('write figures as the language does (Unicode CLDR), a third decimal where it matters', () => {
    const said = phrase('at-least', { limit: { mm: 0.125 } });
    expect(inEnglish(said)).toBe('at least 0.125 mm');
    expect(tell(said, GERMAN_PHRASES, 'de-DE')).toBe('mindestens 0,125 mm');
    expect(inEnglish({ mm: 1 / 3 })).toBe('0.333 mm');
    expect(inEnglish({ mm: 0.4 })).toBe('0.40 mm');
    expect([0.125, 2].map((micrometres) => inEnglish({ micrometres }))).toEqual(['0.13', '2']);
    expect(inEnglish(angleRound(-Math.PI / 2))).toBe('-90.0°');
    // from the top, as configs and bench sheets tell angles; the back is 180°, and there is no -0°
    const turns = [350, 180, 810, -450, -180, 179.98, 180.02, -0.02];
    expect(turns.map((a) => inEnglish(angleRound((a * Math.PI) / 180)))).toEqual(
      ['-10.0', '180.0', '90.0', '-90.0', '180.0', '180.0', '180.0', '0.0'].map((a) => `${a}°`),
    );
    // grouped figures would be read as decimals by half of Europe
    expect(tell({ grams: 1234.5, least: 2, digits: 2 }, GERMAN_PHRASES, 'de-DE')).toBe('1234,50 g');
  });

  it('nest, and list what is several', () => {
    const laws = phrase('hallmark-from', {
      laws: [
        phrase('in-gb', { mass: { grams: 7.78, least: 0, digits: 2 } }),
        phrase('in-ie', { mass: { grams: 0, least: 0, digits: 2 } }),
      ],
    });
    expect(inEnglish(laws)).toBe('hallmark due from 7.78 g in the UK, 0 g in Ireland');
    expect(tell(laws, GERMAN_PHRASES, 'de-AT')).toBe(
      'amtliche Stempelung vorgeschrieben ab 7,78 g im Vereinigten Königreich, 0 g in Irland',
    );
  });

  it('leave no name of a rule in English', () => {
    for (const rule of BENCH_RULE_NAMES) expect(GERMAN_RULES[rule]).not.toBe(rule.replaceAll('-', ' '));
    expect(new Set(Object.values(GERMAN_RULES)).size).toBe(BENCH_RULE_NAMES.length);
  });

  it('cite in German the addresses and figures that the rules cite', () => {
    const addresses = (text: string) => text.match(/[a-z]+(?:\.[a-z]+)+(?:\/[\w\-./?=]*[\w/])?/g) ?? [];
    const figures = (text: string) =>
      addresses(text)
        .reduce((left, address) => left.replace(address, ''), text)
        .replace(/(\d),(\d)/g, '$1.$2')
        .match(/\d+(?:\.\d+)?|[½¼]/g) ?? [];
    for (const { rule, source } of BENCH_RULES) {
      expect(addresses(GERMAN_SOURCES[rule]).sort(), rule).toEqual(addresses(source).sort());
      expect(figures(GERMAN_SOURCES[rule]).sort(), rule).toEqual(figures(source).sort());
      expect(source.includes('common practice'), rule).toBe(GERMAN_SOURCES[rule].includes('übliche Praxis'));
    }
    expect(germanOwnLimit('x')).toContain('x');
  });
});

it('the search for English words finds some in English', () => {
  const pieces = englishPieces();
  expect(pieces.length).toBeGreaterThan(400);
  expect(foundEnglish("row 'a' at θ = 2, open", pieces)).not.toEqual([]);
  expect(foundEnglish('Band thickness, Design proof, Bench checks', pieces)).toEqual(
    expect.arrayContaining(['Design proof', 'Bench checks']),
  );
});
