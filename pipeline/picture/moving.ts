/** Moving pictures of films: developed, cut, resized and marked as other pictures are, then put one after another. */
import sharp from 'sharp';
import type { Film } from '../tracer/tracer.ts';
import { cropPicture } from './crop.ts';
import { developFilm, PAPER_WHITE } from './develop.ts';
import type { Print } from './prints.ts';
import { resizePicture } from './resize.ts';
import { toCodes } from './srgb.ts';
import type { Bounds } from './subject-bounds.ts';
import { stampWatermark, type Watermark } from './watermark.ts';

/** A frame of a moving picture and how long it is seen. */
export interface MovingFrame {
  print: Print;
  seconds: number;
}

/**
 * One frame on its ground, of even sides, as codecs want them.
 * @param box px of the film that is shown, past it on white ground; all of it if absent
 * @param width px; films are never enlarged
 * @param white film level shown as paper white
 */
export async function moviePrint(
  film: Film,
  box: Bounds | undefined,
  width: number,
  white: number,
  mark: Watermark | undefined,
): Promise<Print> {
  const full = developFilm(film, white);
  const whole = box ? cropPicture(full, box, [PAPER_WHITE, PAPER_WHITE, PAPER_WHITE]) : full;
  const small = await resizePicture(whole, width);
  const print = evenSides({ ...small, data: toCodes(small.data, small.width, small.height) });
  return mark ? stampWatermark(print.data, print.width, print.height, mark) : print;
}

/** The print without its last row or column where it has an odd number of them. */
function evenSides(print: Print): Print {
  const [width, height] = [print.width & ~1, print.height & ~1];
  if ((width === print.width && height === print.height) || width === 0 || height === 0) return print;
  const data = new Uint8Array(3 * width * height);
  for (let y = 0; y < height; y++)
    data.set(print.data.subarray(3 * y * print.width, 3 * (y * print.width + width)), 3 * y * width);
  return { width, height, data };
}

/** Each print for the same time. */
export function evenly(prints: readonly Print[], seconds: number): MovingFrame[] {
  return prints.map((print) => ({ print, seconds: seconds / prints.length }));
}

/** Frames a second of what fades. */
export const FADE_RATE = 20;
/** How long one print takes to pass into the next, s, or a third of its time where that is short. */
const FADE_SECONDS = 0.5;

/** Each print for the same time, passing into the next at its end and the last one into the first. */
export function crossFaded(prints: readonly Print[], seconds: number): MovingFrame[] {
  if (prints.length < 2) return evenly(prints, seconds);
  const each = seconds / prints.length;
  const steps = Math.max(1, Math.floor(Math.min(FADE_SECONDS, each / 3) * FADE_RATE));
  return prints.flatMap((print, i) => {
    const next = prints[(i + 1) % prints.length];
    const between = Array.from({ length: steps }, (_, k) => ({
      print: mixed(print, next, (k + 1) / (steps + 1)),
      seconds: 1 / FADE_RATE,
    }));
    return [{ print, seconds: each - steps / FADE_RATE }, ...between];
  });
}

function mixed(from: Print, to: Print, share: number): Print {
  return { ...from, data: from.data.map((v, i) => Math.round(v + share * (to.data[i] - v))) };
}

/** Frame by frame, for what reads picture files. */
export function framePng({ data, width, height }: Print): Promise<Buffer> {
  return sharp(data, { raw: { width, height, channels: 3 } })
    .png({ compressionLevel: 3 })
    .toBuffer();
}

/** The picture that stands where nothing moves. */
export function stillJpeg({ data, width, height }: Print, quality: number): Promise<Buffer> {
  return sharp(data, { raw: { width, height, channels: 3 } })
    .withIccProfile('srgb')
    .jpeg({ quality, mozjpeg: true })
    .toBuffer();
}

/**
 * Bits a second of a film that looks as a picture of that quality does: at 80 a tenth of a bit for each pixel of a frame and
 * two more for each pixel in a second, since the fewer the frames, the less is left of one in the next (by eye).
 */
export function movieBitrate({ width, height }: Print, rate: number, quality: number): number {
  return Math.max(200_000, Math.round(width * height * (2 + rate * 0.1) * 2 ** ((quality - 80) / 10)));
}
