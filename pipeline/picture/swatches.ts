/**
 * Swatches: all colourways of one take on one card, and each alone, cropped to the same place to the pixel.
 *
 * All come from one tracing run, so nothing but colour differs between them. The crop is the union of the subjects'
 * bounds with some ground around; captions are drawn in this room's own letters and need no fonts.
 */
import sharp from 'sharp';
import type { Film } from '../tracer/tracer.ts';
import { cutOut, cutoutCodes } from './cutout.ts';
import { developFilm, type LinearPicture } from './develop.ts';
import { missingLetters } from './lettering.ts';
import { toCodes } from './srgb.ts';
import { type Bounds, subjectBounds } from './subject-bounds.ts';
import { cellsOf, layOut, SHEET_DPI, type SheetHead } from './swatch-sheet.ts';

/** Ground around the subject, share of its longer side. */
const MARGIN = 0.06;

export interface Swatch {
  /** what stands under it on the sheet */
  caption: string;
  /** smaller lines below: alloys with their colours, finishes, stones */
  lines?: readonly string[];
  film: Film;
}

export interface SwatchOptions {
  /** of a take on clear ground: singles are cut out with it, the card stays on white */
  matte?: Film;
  /** the whole film, as of close-ups that metal fills */
  whole?: boolean;
  /** a line below the sheet */
  note?: string;
  head?: SheetHead;
}

/** A PNG file with its size in px. */
export interface PngPicture {
  width: number;
  height: number;
  data: Uint8Array;
}

export interface SwatchCard {
  /** PNG with every swatch and its caption */
  card: PngPicture;
  /** PNG of each swatch, all of one size and place, in the order given */
  singles: PngPicture[];
  /** where the singles lie in the film, px */
  crop: Bounds;
  columns: number;
}

/** Films of one size. @throws RangeError if there are none, their sizes differ or a caption cannot be drawn */
export async function swatchCard(
  swatches: readonly Swatch[],
  white: number,
  { matte, whole: all, note, head }: SwatchOptions = {},
): Promise<SwatchCard> {
  if (swatches.length === 0) throw new RangeError('expected at least one swatch but received none');
  const texts = swatches.flatMap((s) => [s.caption, ...(s.lines ?? [])]);
  for (const text of [...texts, ...(note ? [note] : []), ...(head ? [head.title, head.workshop] : [])]) {
    const missing = missingLetters(text);
    if (missing.length > 0)
      throw new RangeError(`expected drawable letters but received ${missing.join(' ')}`);
  }
  const frames = swatches.map((s) => developFilm(s.film, white));
  const crop = commonCrop(frames, all);
  const [width, height] = [crop.right - crop.left, crop.bottom - crop.top];
  const cells = frames.map((frame) => ({ width, height, data: toCodes(cut(frame, crop), width, height) }));
  const clear = (film: Film, on: Film) => {
    const cutout = cutOut(film, on, white);
    const part = (frame: LinearPicture) => ({ width, height, data: cut(frame, crop) });
    return { width, height, data: cutoutCodes({ band: part(cutout.band), matte: part(cutout.matte) }) };
  };
  const prints = matte ? swatches.map((s) => clear(s.film, matte)) : cells;
  const singles = await Promise.all(prints.map((c) => png(c)));
  const laid = cells.map((cell, i) => ({ ...swatches[i], cell }));
  const whole = cellsOf(laid);
  const columns = columnsFor(swatches.length, whole.width / (height + whole.block));
  const card = await png(await layOut(laid, columns, { note, head }));
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

/** At 300 dpi, so that what is printed has the size that its lettering was laid out for. */
async function png({ width, height, data }: PngPicture): Promise<PngPicture> {
  const channels = data.length === 4 * width * height ? 4 : 3;
  const image = sharp(data, { raw: { width, height, channels } })
    .withIccProfile('srgb')
    .withMetadata({ density: SHEET_DPI });
  return {
    width,
    height,
    data: await image.png({ compressionLevel: 9, adaptiveFiltering: true }).toBuffer(),
  };
}
