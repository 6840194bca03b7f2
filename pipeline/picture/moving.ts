/** Films of a turntable's frames as moving pictures: the frames developed, resized and marked as other pictures are. */
import sharp from 'sharp';
import type { Film } from '../tracer/tracer.ts';
import { developFilm, resizePicture } from './develop.ts';
import type { Print } from './prints.ts';
import { toCodes } from './srgb.ts';
import { stampWatermark, type Watermark } from './watermark.ts';

/**
 * One frame on its ground.
 * @param width px; films are never enlarged
 * @param white film level shown as paper white
 */
export async function movingFrame(
  film: Film,
  width: number,
  white: number,
  mark: Watermark | undefined,
): Promise<Print> {
  const small = await resizePicture(developFilm(film, white), width);
  const print = { ...small, data: toCodes(small.data, small.width, small.height) };
  return mark ? stampWatermark(print.data, print.width, print.height, mark) : print;
}

/** Frame by frame, for what reads picture files. */
export function framePng({ data, width, height }: Print): Promise<Buffer> {
  return sharp(data, { raw: { width, height, channels: 3 } })
    .png({ compressionLevel: 3 })
    .toBuffer();
}

/** Frames of one size as an animated WebP that runs for ever, with an sRGB profile. */
export async function animatedWebp(
  frames: readonly Print[],
  seconds: number,
  quality: number,
): Promise<Uint8Array> {
  const [{ width, height }] = frames;
  const raw = { width, height: height * frames.length, channels: 3 as const, pageHeight: height };
  const ends = frames.map((_, i) => Math.round((1000 * seconds * (i + 1)) / frames.length));
  return sharp(Buffer.concat(frames.map((f) => f.data)), { raw })
    .withIccProfile('srgb')
    .webp({
      quality,
      effort: 4,
      smartSubsample: true,
      loop: 0,
      // to the millisecond in all, however they divide
      delay: ends.map((end, i) => end - (ends[i - 1] ?? 0)),
    })
    .toBuffer();
}

/** Bits a second of a film that looks as a picture of that quality does: a tenth of a bit a pixel and frame at 80. */
export function movieBitrate({ width, height }: Print, rate: number, quality: number): number {
  return Math.max(200_000, Math.round(width * height * rate * 0.1 * 2 ** ((quality - 80) / 10)));
}
