import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Font } from 'fontkit';
import { type FlatPoint, flattened } from '../band/flattened.ts';
import { fontkit } from '../fontkit.cjs';
import type { LetterStyle } from '../plan/engraving-design.ts';

/** A point of a line of letters: mm along the line and up from the foot of the capitals. */
export type LetterPoint = FlatPoint;

/** Letters of one glyph as closed contours, straight within the tolerance; they may overlap. */
export interface LetterOutline {
  /** the characters it stands for */
  letter: string;
  contours: LetterPoint[][];
}

/**
 * Files of the families Source Sans 3 and Pacifico (SIL Open Font License 1.1), as their packages ship them with the
 * licence. Strokes of the first are nearly of one width, so none is too thin for a graver before the others are; medium
 * stands for regular, since cut letters look lighter than printed ones, and of free scripts this one has the stoutest hairlines, 0.08 of a capital’s height.
 */
const FILES: Record<LetterStyle, string> = {
  regular: 'source-sans-3/500Medium/SourceSans3_500Medium.ttf',
  italic: 'source-sans-3/500Medium_Italic/SourceSans3_500Medium_Italic.ttf',
  bold: 'source-sans-3/700Bold/SourceSans3_700Bold.ttf',
  script: 'pacifico/400Regular/Pacifico_400Regular.ttf',
};

const fonts = new Map<LetterStyle, Font>();

/** A font file never changes while the program runs: each is read once. */
function fontOf(style: LetterStyle): Font {
  const ready = fonts.get(style);
  if (ready) return ready;
  const file = createRequire(import.meta.url).resolve(`@expo-google-fonts/${FILES[style]}`);
  const font = fontkit().create(readFileSync(file));
  if (!('layout' in font)) throw new Error(`${file} holds no single font`);
  fonts.set(style, font);
  return font;
}

/** The characters of a text that the font cannot draw, each once. */
export function missingGlyphs(text: string, style: LetterStyle): string[] {
  const font = fontOf(style);
  return [...new Set(text.normalize('NFC').replaceAll('\n', ''))].filter(
    (c) => !font.hasGlyphForCodePoint(c.codePointAt(0)!),
  );
}

/**
 * One line of letters, set with the font's own kerning and ligatures, flattened to a chord tolerance. Capitals are
 * `heightMm` high; the line starts at the first letter's ink and its foot lies at t = 0.
 */
export function letterOutlines(
  text: string,
  style: LetterStyle,
  heightMm: number,
  chordMm: number,
): LetterOutline[] {
  const font = fontOf(style);
  const scale = heightMm / capitals(font);
  const run = font.layout(text.normalize('NFC'));
  let pen = 0;
  const letters = run.glyphs.map((glyph, i): LetterOutline => {
    const { xAdvance, xOffset, yOffset } = run.positions[i];
    const at = (x: number, y: number): LetterPoint => [scale * (pen + xOffset + x), scale * (yOffset + y)];
    const contours = flattened(glyph.path.commands, at, chordMm);
    pen += xAdvance;
    return { letter: String.fromCodePoint(...glyph.codePoints), contours };
  });
  const left = Math.min(...letters.flatMap(({ contours }) => contours.flat().map(([s]) => s)));
  return letters.map(({ letter, contours }) => ({
    letter,
    contours: contours.map((contour) => contour.map(([s, t]): LetterPoint => [s - left, t])),
  }));
}

/** Height of capitals in the font's units: that of an H, which overshoots nothing. */
function capitals(font: Font): number {
  return font.layout('H').glyphs[0].bbox.maxY;
}
