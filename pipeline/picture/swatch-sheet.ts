/**
 * How a sheet of swatches is laid out: a head with title, workshop and logo, then swatches in columns, each with its name and
 * what it is made of. Lettering has one size in print, however narrow a swatch is: long lines are broken and never shrunk, and a
 * swatch that is narrower than a line of text stands in the middle of a wider cell.
 */
import sharp, { type OverlayOptions } from 'sharp';
import { letteringSize, letteringSvg } from './lettering.ts';

export const SHEET_DPI = 300;
const MM = SHEET_DPI / 25.4;
/** Heights of a line with the space around it; of capitals a little more than half of that. */
const LINE = { title: 7 * MM, workshop: 4.6 * MM, caption: 4.4 * MM, detail: 3.4 * MM };
const LOGO = { width: 45 * MM, height: 16 * MM };
/** Words of details need so much. */
const LEAST_CELL = 34 * MM;
const INK = '#2b2b2b';
const SOFT = '#5a5a5a';
/** Of a line's height: the drawing has room for accents above and tails below. */
const DRAWN = 0.82;

export interface SheetHead {
  title: string;
  workshop: string;
  /** PNG */
  logo?: { data: Uint8Array; width: number; height: number };
}

/** Pixels without a format, three channels. */
interface Raw {
  width: number;
  height: number;
  data: Uint8Array;
}

interface Laid {
  cell: Raw;
  caption: string;
  lines?: readonly string[];
}

interface Line {
  text: string;
  height: number;
  ink: string;
}

/** How wide a swatch stands with its words, those words, and how high the longest of them are. */
export function cellsOf(swatches: readonly Laid[]): { width: number; block: number; texts: Line[][] } {
  const [{ cell }] = swatches;
  const detailed = swatches.some(({ lines = [] }) => lines.length > 0);
  const width = Math.max(cell.width, detailed ? Math.round(LEAST_CELL) : 0);
  const texts = swatches.map(({ caption, lines = [] }) => [
    ...broken(caption, width, line('caption', INK, cell.width)),
    ...lines.flatMap((text) => broken(text, width, line('detail', SOFT, cell.width))),
  ]);
  return { width, block: Math.max(...texts.map(heightOf)), texts };
}

export async function layOut(
  swatches: readonly Laid[],
  columns: number,
  { note, head }: { note?: string; head?: SheetHead },
): Promise<Raw> {
  const [{ cell }] = swatches;
  const { width: cellWidth, block, texts } = cellsOf(swatches);
  const gap = Math.round(0.06 * cellWidth);
  const rows = Math.ceil(swatches.length / columns);
  const width = gap + columns * (cellWidth + gap);
  const layers: OverlayOptions[] = [];
  const top = head ? await drawHead(head, width, gap, layers) : 0;
  for (const [
    i,
    {
      cell: { data, width: w, height: h },
    },
  ] of swatches.entries()) {
    const left = gap + (i % columns) * (cellWidth + gap);
    const y = top + gap + Math.floor(i / columns) * (h + block + gap);
    const inset = left + Math.round((cellWidth - w) / 2);
    layers.push({ input: Buffer.from(data), raw: { width: w, height: h, channels: 3 }, left: inset, top: y });
    await drawLines(texts[i], { left, width: cellWidth, top: y + h, middle: true }, layers);
  }
  const foot = top + gap + rows * (cell.height + block + gap);
  const notes = note ? broken(note, width - 2 * gap, line('detail', SOFT, cell.width)) : [];
  await drawLines(notes, { left: gap, width: width - 2 * gap, top: foot - Math.round(gap / 2) }, layers);
  const size = { width, height: foot + heightOf(notes) };
  const { data } = await sharp({ create: { ...size, channels: 3, background: '#ffffff' } })
    .composite(layers)
    .removeAlpha()
    .raw()
    .toBuffer({ resolveWithObject: true });
  return { ...size, data };
}

/** Pictures that are tiny, as of drafts, get small letters: they are no sheet to print. */
function line(kind: keyof typeof LINE, ink: string, cellWidth: number): Omit<Line, 'text'> {
  return { height: Math.max(12, Math.round(Math.min(LINE[kind], 0.14 * cellWidth))), ink };
}

const heightOf = (lines: readonly Line[]) => lines.reduce((sum, { height }) => sum + height, 0);

/** A text in lines no wider than `most` px; a word that is wider by itself is drawn smaller. */
function broken(text: string, most: number, like: Omit<Line, 'text'>): Line[] {
  const lines: string[] = [];
  for (const word of text.split(/\s+/).filter(Boolean)) {
    const longer = lines.length > 0 ? `${lines[lines.length - 1]} ${word}` : word;
    if (lines.length > 0 && widthOf(longer, like.height) <= most) lines[lines.length - 1] = longer;
    else lines.push(word);
  }
  return lines.map((part) => ({ ...like, text: part }));
}

function widthOf(text: string, height: number): number {
  const natural = letteringSize(text);
  return (natural.width * DRAWN * height) / natural.height;
}

async function drawLines(
  lines: readonly Line[],
  { left, width, top, middle }: { left: number; width: number; top: number; middle?: boolean },
  layers: OverlayOptions[],
): Promise<void> {
  let y = top;
  for (const { text, height, ink } of lines) {
    const drawn = await drawText(text, width, height, ink);
    const inset = middle ? Math.round((width - drawn.width) / 2) : 0;
    layers.push({ input: drawn.data, left: left + inset, top: y + Math.round(0.12 * height) });
    y += height;
  }
}

async function drawText(text: string, most: number, height: number, ink: string) {
  const natural = letteringSize(text);
  const scale = Math.min((DRAWN * height) / natural.height, most / natural.width);
  const { data, info } = await sharp(Buffer.from(letteringSvg(text, ink)), {
    density: Math.max(1, 72 * scale),
  })
    .resize(Math.max(1, Math.floor(natural.width * scale)))
    .png()
    .toBuffer({ resolveWithObject: true });
  return { data, width: info.width };
}

/** @returns its height */
async function drawHead(
  { title, workshop, logo }: SheetHead,
  width: number,
  gap: number,
  layers: OverlayOptions[],
): Promise<number> {
  let logoWidth = 0;
  if (logo) {
    const box = { width: Math.round(Math.min(LOGO.width, width / 3)), height: Math.round(LOGO.height) };
    const { data, info } = await sharp(logo.data)
      .resize({ ...box, fit: 'inside' })
      .flatten({ background: '#ffffff' })
      .png()
      .toBuffer({ resolveWithObject: true });
    layers.push({ input: data, left: width - gap - info.width, top: gap });
    logoWidth = info.width + gap;
  }
  const room = width - 2 * gap - logoWidth;
  const scaled = (height: number) => Math.round(Math.min(height, width / 12));
  const lines = [
    ...broken(workshop, room, { height: scaled(LINE.workshop), ink: SOFT }),
    ...broken(title, room, { height: scaled(LINE.title), ink: INK }),
  ];
  await drawLines(lines, { left: gap, width: room, top: gap }, layers);
  return gap + Math.max(heightOf(lines), logo ? Math.round(LOGO.height) : 0);
}
