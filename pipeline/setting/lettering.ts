import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { create, type Font } from 'fontkit';
import type { LetterStyle } from '../plan/engraving-design.ts';

/** A point of a line of letters: mm along the line and up from the foot of the capitals. */
export type LetterPoint = readonly [s: number, t: number];

/** Letters of one glyph as closed contours, straight within the tolerance; they may overlap. */
export interface LetterOutline {
  /** the characters it stands for */
  letter: string;
  contours: LetterPoint[][];
}

/**
 * Files of the Source Sans 3 family (SIL Open Font License 1.1), as its package ships them with the licence. Its
 * strokes are nearly of one width, so none is too thin for a graver before the others are; medium stands for regular,
 * since cut letters look lighter than printed ones.
 */
const FILES: Record<LetterStyle, string> = {
  regular: '500Medium/SourceSans3_500Medium.ttf',
  italic: '500Medium_Italic/SourceSans3_500Medium_Italic.ttf',
  bold: '700Bold/SourceSans3_700Bold.ttf',
};

const fonts = new Map<LetterStyle, Font>();

/** A font file never changes while the program runs: each is read once. */
function fontOf(style: LetterStyle): Font {
  const ready = fonts.get(style);
  if (ready) return ready;
  const file = createRequire(import.meta.url).resolve(`@expo-google-fonts/source-sans-3/${FILES[style]}`);
  const font = create(readFileSync(file));
  if (!('layout' in font)) throw new Error(`${file} holds no single font`);
  fonts.set(style, font);
  return font;
}

/** The characters of a text that the font cannot draw, each once. */
export function missingGlyphs(text: string, style: LetterStyle): string[] {
  const font = fontOf(style);
  return [...new Set(text.normalize('NFC'))].filter((c) => !font.hasGlyphForCodePoint(c.codePointAt(0)!));
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

type Command = Font['layout'] extends (...args: never[]) => { glyphs: { path: { commands: (infer C)[] } }[] }
  ? C
  : never;

/**
 * Curves as chords. A Bézier curve with n parts strays from them by at most |B″| / 8n² (de Casteljau; for the
 * quadratic |B″| = 2 |p₀ − 2p₁ + p₂|, for the cubic 6 times the larger of its two second differences).
 */
function flattened(
  commands: Command[],
  at: (x: number, y: number) => LetterPoint,
  chordMm: number,
): LetterPoint[][] {
  const contours: LetterPoint[][] = [];
  let contour: LetterPoint[] = [];
  const bend = (a: LetterPoint, b: LetterPoint, c: LetterPoint) =>
    Math.hypot(a[0] - 2 * b[0] + c[0], a[1] - 2 * b[1] + c[1]);
  const curve = (second: number, point: (u: number) => LetterPoint) => {
    const parts = Math.max(1, Math.ceil(Math.sqrt(second / (8 * chordMm))));
    for (let k = 1; k <= parts; k++) contour.push(point(k / parts));
  };
  for (const { command, args } of commands) {
    const p = Array.from({ length: args.length / 2 }, (_, k) => at(args[2 * k], args[2 * k + 1]));
    const from = contour[contour.length - 1];
    if (command === 'moveTo') contour = [p[0]];
    else if (command === 'lineTo') contour.push(p[0]);
    else if (command === 'quadraticCurveTo')
      curve(2 * bend(from, p[0], p[1]), (u) => bezier([from, ...p], u));
    else if (command === 'bezierCurveTo')
      curve(6 * Math.max(bend(from, p[0], p[1]), bend(p[0], p[1], p[2])), (u) => bezier([from, ...p], u));
    else {
      contours.push(withoutRepeats(contour));
      contour = [];
    }
  }
  return contours.filter((c) => c.length > 2);
}

/** De Casteljau's scheme. */
function bezier(points: LetterPoint[], u: number): LetterPoint {
  if (points.length === 1) return points[0];
  return bezier(
    points.slice(1).map((b, i): LetterPoint => {
      const a = points[i];
      return [a[0] + u * (b[0] - a[0]), a[1] + u * (b[1] - a[1])];
    }),
    u,
  );
}

/** Points that fall on the one before them are dropped, and a last one on the first. */
function withoutRepeats(contour: LetterPoint[]): LetterPoint[] {
  return contour.filter((p, i) => {
    const before = contour[(i + contour.length - 1) % contour.length];
    return Math.hypot(p[0] - before[0], p[1] - before[1]) > 1e-6;
  });
}
