/**
 * Swatches: all colourways of one take on one card, and each alone, cropped to the same place to the pixel.
 *
 * All come from one tracing run, so nothing but colour differs between them. The crop is the union of the subjects'
 * bounds with some ground around; captions are drawn in this room's own letters and need no fonts.
 */
import sharp, { type OverlayOptions } from 'sharp';
import type { Film } from '../tracer/tracer.ts';
import { cutOut, cutoutCodes } from './cutout.ts';
import { developFilm, type LinearPicture } from './develop.ts';
import { letteringSvg, missingLetters } from './lettering.ts';
import { toCodes } from './srgb.ts';
import { type Bounds, subjectBounds } from './subject-bounds.ts';

/** Ground around the subject, share of its longer side. */
const MARGIN = 0.06;
/** Height of a caption's line and of its capitals, share of a cell's width. */
const CAPTION = 0.11;
const INK = '#3a3a3a';

export interface Swatch {
  /** what stands under it on the card */
  caption: string;
  film: Film;
}

export interface SwatchOptions {
  /** of a take on clear ground: singles are cut out with it, the card stays on white */
  matte?: Film;
  /** the whole film, as of close-ups that metal fills */
  whole?: boolean;
  /** a line below the card */
  note?: string;
}

/** A PNG file with its size in px. */
export interface Print {
  width: number;
  height: number;
  data: Uint8Array;
}

export interface SwatchCard {
  /** PNG with every swatch and its caption */
  card: Print;
  /** PNG of each swatch, all of one size and place, in the order given */
  singles: Print[];
  /** where the singles lie in the film, px */
  crop: Bounds;
  columns: number;
}

/** Films of one size. @throws RangeError if there are none, their sizes differ or a caption cannot be drawn */
export async function swatchCard(
  swatches: readonly Swatch[],
  white: number,
  { matte, whole, note }: SwatchOptions = {},
): Promise<SwatchCard> {
  if (swatches.length === 0) throw new RangeError('expected at least one swatch but received none');
  for (const text of [...swatches.map((s) => s.caption), ...(note ? [note] : [])]) {
    const missing = missingLetters(text);
    if (missing.length > 0)
      throw new RangeError(`expected drawable letters but received ${missing.join(' ')}`);
  }
  const frames = swatches.map((s) => developFilm(s.film, white));
  const crop = commonCrop(frames, whole);
  const [width, height] = [crop.right - crop.left, crop.bottom - crop.top];
  const cells = frames.map((frame) => ({ width, height, data: toCodes(cut(frame, crop), width, height) }));
  const clear = (film: Film, on: Film) => {
    const cutout = cutOut(film, on, white);
    const part = (frame: LinearPicture) => ({ width, height, data: cut(frame, crop) });
    return { width, height, data: cutoutCodes({ band: part(cutout.band), matte: part(cutout.matte) }) };
  };
  const prints = matte ? swatches.map((s) => clear(s.film, matte)) : cells;
  const singles = await Promise.all(prints.map((c) => png(c)));
  const columns = columnsFor(swatches.length, width / (height + CAPTION * width));
  const card = await layOut(
    cells,
    swatches.map((s) => s.caption),
    columns,
    note,
  );
  return { card, singles, crop, columns };
}

/** Union of the subjects' bounds with a margin, within the frame; the whole frame if nothing stands on the ground. */
function commonCrop(frames: readonly LinearPicture[], whole = false): Bounds {
  const { width, height } = frames[0];
  if (frames.some((f) => f.width !== width || f.height !== height))
    throw new RangeError('expected films of one size');
  const all = whole ? [] : frames.flatMap((f) => subjectBounds(f) ?? []);
  if (all.length === 0) return { left: 0, top: 0, right: width, bottom: height };
  const left = Math.min(...all.map((b) => b.left));
  const top = Math.min(...all.map((b) => b.top));
  const right = Math.max(...all.map((b) => b.right));
  const bottom = Math.max(...all.map((b) => b.bottom));
  const margin = Math.round(MARGIN * Math.max(right - left, bottom - top));
  return {
    left: Math.max(0, left - margin),
    top: Math.max(0, top - margin),
    right: Math.min(width, right + margin),
    bottom: Math.min(height, bottom + margin),
  };
}

function cut(frame: LinearPicture, { left, top, right, bottom }: Bounds): Float32Array {
  const width = right - left;
  const out = new Float32Array(3 * width * (bottom - top));
  for (let y = top; y < bottom; y++) {
    const from = 3 * (y * frame.width + left);
    out.set(frame.data.subarray(from, from + 3 * width), 3 * (y - top) * width);
  }
  return out;
}

/** The column count whose card comes nearest to a square without leaving a row empty. */
function columnsFor(count: number, cellAspect: number): number {
  const columns = Math.max(1, Math.min(count, Math.round(Math.sqrt(count / cellAspect))));
  return Math.ceil(count / Math.ceil(count / columns));
}

async function layOut(
  cells: readonly Print[],
  captions: readonly string[],
  columns: number,
  note?: string,
): Promise<Print> {
  const { width, height } = cells[0];
  const line = Math.max(12, Math.round(CAPTION * width));
  const gap = Math.round(0.06 * width);
  const rows = Math.ceil(cells.length / columns);
  const layers: OverlayOptions[] = [];
  for (const [i, cell] of cells.entries()) {
    const left = gap + (i % columns) * (width + gap);
    const top = gap + Math.floor(i / columns) * (height + line + gap);
    layers.push({ input: Buffer.from(cell.data), raw: { width, height, channels: 3 }, left, top });
    const caption = await drawCaption(captions[i], width, line);
    layers.push({
      input: caption.data,
      left: left + Math.round((width - caption.width) / 2),
      top: top + height,
    });
  }
  const foot = gap + rows * (height + line + gap);
  const size = { width: gap + columns * (width + gap), height: foot + (note ? line : 0) };
  if (note) {
    const drawn = await drawCaption(note, size.width - 2 * gap, line);
    layers.push({ input: drawn.data, left: gap, top: foot - Math.round(gap / 2) });
  }
  const { data } = await sharp({ create: { ...size, channels: 3, background: '#ffffff' } })
    .composite(layers)
    .removeAlpha()
    .raw()
    .toBuffer({ resolveWithObject: true });
  return png({ ...size, data });
}

/** A caption as high as its line, or less if it would be wider than its swatch. */
async function drawCaption(
  text: string,
  most: number,
  line: number,
): Promise<{ data: Buffer; width: number }> {
  const svg = Buffer.from(letteringSvg(text, INK));
  const natural = await sharp(svg).metadata();
  const scale = Math.min((0.5 * line) / natural.height, most / natural.width);
  const { data, info } = await sharp(svg, { density: Math.max(1, 72 * scale) })
    .resize(Math.max(1, Math.round(natural.width * scale)))
    .extend({ top: Math.round(0.25 * line), background: { r: 255, g: 255, b: 255, alpha: 0 } })
    .png()
    .toBuffer({ resolveWithObject: true });
  return { data, width: info.width };
}

async function png({ width, height, data }: Print): Promise<Print> {
  const channels = data.length === 4 * width * height ? 4 : 3;
  const image = sharp(data, { raw: { width, height, channels } }).withIccProfile('srgb');
  return {
    width,
    height,
    data: await image.png({ compressionLevel: 9, adaptiveFiltering: true }).toBuffer(),
  };
}
