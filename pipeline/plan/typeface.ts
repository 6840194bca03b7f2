/**
 * The typeface of papers for clients: Noto Sans (SIL Open Font Licence) out of an npm package, so that a proof looks the
 * same on every machine and no letter is lost on a server without fonts. Only the subsets that a text needs are embedded.
 *
 * Latin with Vietnamese, Greek, Cyrillic and Devanagari are covered; other scripts are refused by `missingCharacters`.
 */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import type { Font } from 'fontkit';
import { fontkit } from '../fontkit.cjs';

const SUBSETS = [
  'latin',
  'latin-ext',
  'vietnamese',
  'greek',
  'greek-ext',
  'cyrillic',
  'cyrillic-ext',
  'devanagari',
] as const;
type Subset = (typeof SUBSETS)[number];
const WEIGHTS = [400, 600] as const;

/** What has no ink but must come from the same font: spaces keep their width, joiners their letters. */
const JOINED: Partial<Record<Subset, string[]>> = { latin: ['U+20', 'U+A0'], devanagari: ['U+200C-200D'] };

export const FAMILY = 'Proof Sans';

const folder = dirname(createRequire(import.meta.url).resolve('@fontsource/noto-sans/package.json'));

function fontFile(subset: Subset, weight: number): Buffer {
  return readFileSync(join(folder, 'files', `noto-sans-${subset}-${weight}-normal.woff2`));
}

const characters = new Map<Subset, ReadonlySet<number>>();

/** Code points that a subset has glyphs for, from its character map. */
function charactersOf(subset: Subset): ReadonlySet<number> {
  const known = characters.get(subset);
  if (known) return known;
  const font = fontkit().create(fontFile(subset, 400)) as Font;
  const set = new Set(font.characterSet);
  characters.set(subset, set);
  return set;
}

/** Breaks and spaces need no glyph. */
function needsGlyph(codePoint: number): boolean {
  return !/[\s\u200B-\u200D\u2060\u00AD]/u.test(String.fromCodePoint(codePoint));
}

function codePoints(text: string): Set<number> {
  return new Set([...text.normalize('NFC')].map((c) => c.codePointAt(0) as number).filter(needsGlyph));
}

/** Code points of a text that the typeface cannot show, each once, ascending. */
export function missingCharacters(text: string): number[] {
  return [...codePoints(text)]
    .filter((c) => !SUBSETS.some((s) => charactersOf(s).has(c)))
    .sort((a, b) => a - b);
}

/** `U+6F22`, the way Unicode writes code points: names the characters without spelling out whose name they are. */
export function characterNames(points: readonly number[]): string {
  const shown = points.slice(0, 12).map((c) => `U+${c.toString(16).toUpperCase().padStart(4, '0')}`);
  return `${shown.join(', ')}${points.length > shown.length ? ` and ${points.length - shown.length} more` : ''}`;
}

const ASCII = String.fromCodePoint(...Array.from({ length: 0x7f - 0x21 }, (_, i) => 0x21 + i));

/** `@font-face` rules with the fonts inside, for ASCII and the characters of `text`, which may be written in entities. */
export function fontFaces(text: string): string {
  const left = codePoints(ASCII + text);
  const rules: string[] = [];
  for (const subset of SUBSETS) {
    const own = [...left].filter((c) => charactersOf(subset).has(c));
    if (own.length === 0) continue;
    for (const c of own) left.delete(c);
    const range = [
      ...own.sort((a, b) => a - b).map((c) => `U+${c.toString(16)}`),
      ...(JOINED[subset] ?? []),
    ].join(',');
    for (const weight of WEIGHTS)
      rules.push(
        `@font-face { font-family: "${FAMILY}"; font-weight: ${weight}; unicode-range: ${range}; src: url(data:font/woff2;base64,${fontFile(subset, weight).toString('base64')}) format("woff2"); }`,
      );
  }
  return rules.join('\n');
}
