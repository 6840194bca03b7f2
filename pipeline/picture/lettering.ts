/**
 * Drawn letters for text watermarks: text as strokes, so that a watermark looks the same on every machine.
 *
 * A bare server has no fonts, and text in an SVG then silently vanishes. This alphabet is our own drawing:
 * single strokes with round ends, built from circles and straight lines. It covers Latin text with common
 * accents, figures and punctuation; anything else is reported, never dropped.
 *
 * Units: cap height 100, baseline y = 100 downwards, x-height 64, descenders to 130; strokes are centre lines.
 */

/** Width of the drawing and its SVG path data. */
type Glyph = readonly [width: number, path: string];

const STROKE = 8.5;
const GAP = 24;
const SPACE = 34;

/** A full circle or ellipse. */
const ring = (cx: number, cy: number, rx: number, ry = rx) =>
  `M${cx - rx} ${cy}a${rx} ${ry} 0 1 0 ${2 * rx} 0a${rx} ${ry} 0 1 0 ${-2 * rx} 0Z`;
/** Fatter than the stroke. Not a small circle: cairo leaves a hole where the radius is below half the stroke. */
const dot = (x: number, y: number) => `M${x - 2} ${y}h4M${x} ${y - 2}v4`;
const bowl = ring(32, 68, 32);

const GLYPHS: Record<string, Glyph> = {
  A: [84, 'M0 100L42 0L84 100M14.3 66H69.7'],
  B: [57, 'M0 0V100H30A27 27 0 0 0 30 46H0M0 0H26A23 23 0 0 1 26 46'],
  C: [86, 'M85.4 14.6A50 50 0 1 0 85.4 85.4'],
  D: [80, 'M0 0V100H30A50 50 0 0 0 30 0Z'],
  E: [52, 'M52 0H0V100H52M0 48H46'],
  F: [50, 'M50 0H0V100M0 48H44'],
  G: [100, 'M85.4 14.6A50 50 0 1 0 100 50H60'],
  H: [70, 'M0 0V100M70 0V100M0 48H70'],
  I: [0, 'M0 0V100'],
  J: [38, 'M38 0V81A19 19 0 0 1 0 81'],
  K: [62, 'M0 0V100M58 0L0 58M20 38L62 100'],
  L: [48, 'M0 0V100H48'],
  M: [104, 'M0 100L12 0L52 76L92 0L104 100'],
  N: [74, 'M0 100V0L74 100V0'],
  O: [100, ring(50, 50, 50)],
  P: [55, 'M0 100V0H28A27 27 0 0 1 28 54H0'],
  Q: [100, `${ring(50, 50, 50)}M60 64L96 104`],
  R: [58, 'M0 100V0H28A27 27 0 0 1 28 54H0M26 54L58 100'],
  S: [
    54,
    'M51 17C47 6 38 0 28 0C14 0 4 9 4 23C4 40 18 45 28 49C40 54 54 59 54 76C54 90 43 100 28 100C14 100 4 92 0 80',
  ],
  T: [64, 'M0 0H64M32 0V100'],
  U: [68, 'M0 0V66A34 34 0 0 0 68 66V0'],
  V: [80, 'M0 0L40 100L80 0'],
  W: [124, 'M0 0L32 100L62 0L92 100L124 0'],
  X: [68, 'M0 0L68 100M68 0L0 100'],
  Y: [72, 'M0 0L36 50V100M72 0L36 50'],
  Z: [66, 'M0 0H66L0 100H66'],
  a: [64, `${bowl}M64 36V100`],
  b: [64, `${bowl}M0 0V100`],
  c: [55, 'M54.6 45.4A32 32 0 1 0 54.6 90.6'],
  d: [64, `${bowl}M64 0V100`],
  e: [64, 'M0 68H64A32 32 0 1 0 54.6 90.6'],
  f: [34, 'M36 0A20 20 0 0 0 16 20V100M0 36H34'],
  g: [64, `${bowl}M64 36V98A32 32 0 0 1 4 113.5`],
  h: [56, 'M0 0V100M0 64A28 28 0 0 1 56 64V100'],
  ı: [0, 'M0 36V100'],
  i: [0, `M0 36V100${dot(0, 12)}`],
  j: [16, `M16 36V112A18 18 0 0 1 -2 130${dot(16, 12)}`],
  k: [50, 'M0 0V100M46 36L0 76M17 61L50 100'],
  l: [0, 'M0 0V100'],
  m: [104, 'M0 36V100M0 62A26 26 0 0 1 52 62V100M52 62A26 26 0 0 1 104 62V100'],
  n: [56, 'M0 36V100M0 64A28 28 0 0 1 56 64V100'],
  o: [64, bowl],
  p: [64, `${bowl}M0 36V130`],
  q: [64, `${bowl}M64 36V130`],
  r: [28, 'M0 36V100M0 64A28 28 0 0 1 28 36'],
  s: [
    41,
    'M38 47C35 39 28 36 21 36C11 36 4 42 4 51C4 61 13 65 21 68C30 71 41 74 41 84C41 94 32 100 21 100C11 100 3 95 0 87',
  ],
  t: [32, 'M15 12V100M0 36H32'],
  u: [56, 'M0 36V72A28 28 0 0 0 56 72M56 36V100'],
  v: [56, 'M0 36L28 100L56 36'],
  w: [92, 'M0 36L24 100L46 36L68 100L92 36'],
  x: [50, 'M0 36L50 100M50 36L0 100'],
  y: [58, 'M0 36L28.5 99M58 36L14 130'],
  z: [48, 'M0 36H48L0 100H48'],
  0: [56, ring(28, 50, 28, 50)],
  1: [22, 'M0 18L22 0V100'],
  2: [56, 'M2 26A26 26 0 0 1 54 26C54 46 24 70 0 100H56'],
  3: [54, 'M5 17A23 23 0 1 1 27 46A27 27 0 1 1 1 81'],
  4: [60, 'M44 100V0L0 70H60'],
  5: [56, 'M50 0H12L8 44A30 30 0 1 1 2 86'],
  6: [58, `${ring(29, 71, 29)}M45.5 0L5.7 53.7`],
  7: [56, 'M0 0H56L18 100'],
  8: [54, ring(27, 23, 23) + ring(27, 73, 27)],
  9: [58, `${ring(29, 29, 29)}M52.3 46.3L12.5 100`],
  '.': [0, dot(0, 99)],
  ',': [6, 'M6 96L0 114'],
  ':': [0, dot(0, 50) + dot(0, 99)],
  ';': [6, `${dot(5, 50)}M6 96L0 114`],
  '!': [0, `M0 0V72${dot(0, 99)}`],
  '?': [48, `M0 24A24 24 0 1 1 24 48V72${dot(24, 99)}`],
  '-': [32, 'M0 62H32'],
  '–': [56, 'M0 62H56'],
  '—': [90, 'M0 62H90'],
  _: [60, 'M0 112H60'],
  '/': [44, 'M44 -6L0 110'],
  '\\': [44, 'M0 -6L44 110'],
  '|': [0, 'M0 -8V116'],
  "'": [0, 'M0 0V22'],
  '’': [6, 'M6 0L0 20'],
  '‘': [6, 'M0 0L6 20'],
  '"': [20, 'M0 0V22M20 0V22'],
  '“': [26, 'M0 0L6 20M20 0L26 20'],
  '”': [26, 'M6 0L0 20M26 0L20 20'],
  '(': [22, 'M22 -8C-7 26 -7 82 22 116'],
  ')': [22, 'M0 -8C29 26 29 82 0 116'],
  '+': [60, 'M0 58H60M30 28V88'],
  '=': [60, 'M0 46H60M0 72H60'],
  '×': [46, 'M0 35L46 81M46 35L0 81'],
  '*': [42, 'M21 0V44M2 11L40 33M40 11L2 33'],
  '#': [66, 'M24 0L12 100M54 0L42 100M4 32H66M0 68H62'],
  '%': [96, `${ring(22, 24, 22, 24)}${ring(74, 76, 22, 24)}M78 0L18 100`],
  '&': [72, 'M72 100L17 34C6 20 14 0 32 0C52 0 55 23 39 34L20 47C-8 67 2 100 30 100C52 100 64 82 66 58'],
  '@': [100, `${ring(50, 50, 22)}M72 30V57A14 14 0 0 0 100 57V50A50 50 0 1 0 78 91.4`],
  $: [
    54,
    `M51 22C47 13 38 8 28 8C14 8 4 15 4 27C4 42 18 46 28 50C40 54 54 58 54 74C54 86 43 92 28 92C14 92 4 86 0 76M28 -6V106`,
  ],
  '€': [72, 'M71 14A44 50 0 1 0 71 86M0 40H58M0 60H54'],
  '£': [60, 'M54 18C48 -6 14 -6 14 26C14 50 24 62 14 84C12 92 6 100 0 100H60M2 54H42'],
  '<': [54, 'M54 30L0 58L54 86'],
  '>': [54, 'M0 30L54 58L0 86'],
  '[': [20, 'M20 -8H0V116H20'],
  ']': [20, 'M0 -8H20V116H0'],
  '{': [26, 'M26 -8C6 -8 16 16 14 38C13 48 8 54 0 54C8 54 13 60 14 70C16 92 6 116 26 116'],
  '}': [26, 'M0 -8C20 -8 10 16 12 38C13 48 18 54 26 54C18 54 13 60 12 70C10 92 20 116 0 116'],
  '^': [44, 'M0 34L22 0L44 34'],
  '~': [56, 'M0 64C8 48 18 50 28 58S48 66 56 52'],
  '`': [14, 'M0 0L14 20'],
  '·': [0, dot(0, 56)],
  '•': [12, ring(6, 56, 4)],
  '°': [26, ring(13, 13, 13)],
  '©': [100, `${ring(50, 50, 50)}M67 33A24 24 0 1 0 67 67`],
  '®': [100, `${ring(50, 50, 50)}M37 75V26H51A13.5 13.5 0 0 1 51 53H37M51 53L65 75`],
  '™': [84, 'M0 0H32M16 0V40M44 40V0L64 28L84 0V40'],
  Æ: [112, 'M0 100L54 0H112M62 0V100H112M22 62H62M62 48H106'],
  æ: [118, `${bowl}M64 36V72M64 68H118A27 32 0 1 0 111 90`],
  Œ: [128, 'M128 0H50A50 50 0 1 0 50 100H128M76 0V100M76 48H122'],
  œ: [128, `${bowl}M64 68H128A32 32 0 1 0 118.6 90.6`],
  Ø: [100, `${ring(50, 50, 50)}M14 102L86 -2`],
  ø: [64, `${bowl}M4 106L60 30`],
  Ł: [48, 'M0 0V100H48M-12 62L28 34'],
  ł: [0, 'M0 0V100M-14 62L14 42'],
  ß: [54, 'M0 100V26A24 24 0 0 1 48 26C48 38 40 44 26 46A27 27 0 0 1 26 100'],
};

/** Marks by combining character, drawn round x = 0; above marks stand on y = 24, for an x-high letter. */
const MARKS: Record<string, string> = {
  '\u0300': 'M-10 6L6 22',
  '\u0301': 'M10 6L-6 22',
  '\u0302': 'M-14 22L0 8L14 22',
  '\u0303': 'M-17 19C-12 8 -6 10 0 14S12 20 17 9',
  '\u0304': 'M-14 16H14',
  '\u0306': 'M-14 8A14 12 0 0 0 14 8',
  '\u0307': dot(0, 14),
  '\u0308': dot(-12, 14) + dot(12, 14),
  '\u030a': ring(0, 11, 10),
  '\u030b': 'M-2 6L-12 22M14 6L4 22',
  '\u030c': 'M-14 8L0 22L14 8',
  '\u0327': 'M0 100C12 108 8 124 -8 122',
  '\u0328': 'M6 100C-8 110 -4 124 10 122',
};
const BELOW = '\u0327\u0328';

/** Pairs that would stand too far apart, and by how much they close up. */
const TIGHT = new Set(
  'AV AW AY AT VA WA YA TA LT LV LY PA FA To Ta Te Tr Yo Ya Ye Vo Va Ve Wo Wa We'.split(' '),
);
const TIGHTEN = 14;

/** The characters of a text that this alphabet cannot draw, each once. */
export function missingLetters(text: string): string[] {
  return [...new Set(letters(text))].filter((l) => !drawable(l));
}

function drawable(letter: string): boolean {
  if (/^\s$/.test(letter)) return true;
  const [base, ...marks] = letter.normalize('NFD');
  return base in GLYPHS && marks.every((m) => m in MARKS);
}

/** Splits into letters with their accents. */
function letters(text: string): string[] {
  return text.normalize('NFC').match(/\P{M}\p{M}*/gu) ?? [];
}

/** Size of the drawing that `letteringSvg` makes, in its own units. @throws RangeError as that does */
export function letteringSize(text: string): { width: number; height: number } {
  const { width, height } = drawLine(text);
  return { width, height };
}

/**
 * One line of text as a stand-alone SVG, cropped to its ink, transparent ground.
 * @param colour any SVG colour
 * @throws RangeError if a character cannot be drawn; ask `missingLetters` first
 */
export function letteringSvg(text: string, colour = '#1c1c1c'): string {
  const { width, height, path } = drawLine(text);
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" ` +
    `viewBox="${-STROKE} ${TOP} ${width} ${height}"><g fill="none" stroke="${colour}" stroke-width="${STROKE}" ` +
    `stroke-linecap="round" stroke-linejoin="round">${path}</g></svg>`
  );
}

/** Where accents of capitals begin. */
const TOP = -40;
const HEIGHT = 178;

function drawLine(text: string): { width: number; height: number; path: string } {
  let x = 0;
  let path = '';
  let previous = '';
  for (const letter of letters(text.trim().replace(/\s+/g, ' '))) {
    if (!drawable(letter)) throw new RangeError(`expected drawable letters but received ${letter}`);
    if (letter === ' ') x += SPACE;
    else {
      if (TIGHT.has(previous + letter)) x -= TIGHTEN;
      const [width, strokes] = drawLetter(letter);
      path += `<path transform="translate(${x} 0)" d="${strokes}"/>`;
      x += width + GAP;
    }
    previous = letter;
  }
  return { width: x - GAP + 2 * STROKE, height: HEIGHT, path };
}

function drawLetter(letter: string): Glyph {
  const exact = GLYPHS[letter];
  if (exact) return exact;
  const [base, ...marks] = letter.normalize('NFD');
  const above = marks.some((m) => !BELOW.includes(m));
  const [width, strokes] = GLYPHS[above && base === 'i' ? 'ı' : base];
  const tall = base === base.toUpperCase() || 'bdfhklt'.includes(base);
  const drawn = marks.map((m) => {
    const lift = tall && !BELOW.includes(m) ? -36 : 0;
    return shiftPath(MARKS[m], width / 2, lift);
  });
  return [width, strokes + drawn.join('')];
}

/** Moves path data: every mark uses absolute M, L, C, S, A, V, H commands or the relative tails of `ring`, `dot`. */
function shiftPath(path: string, dx: number, dy: number): string {
  return path.replace(/([MLCSAVH])([^A-Za-z]*)/g, (_, command: string, args: string) => {
    const n = (args.match(/-?\d+(\.\d+)?/g) ?? []).map(Number);
    const moved = n.map((v, i) => {
      if (command === 'V') return v + dy;
      if (command === 'H') return v + dx;
      if (command === 'A') return i === 5 ? v + dx : i === 6 ? v + dy : v;
      return v + (i % 2 ? dy : dx);
    });
    return `${command}${moved.join(' ')}`;
  });
}
