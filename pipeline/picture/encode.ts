/**
 * Linear film → finished picture files.
 *
 * Every file carries an sRGB ICC profile and, if it is told what it shows, an XMP packet. Neither holds a date or a
 * software name, so equal films give equal bytes.
 */
import { createHash } from 'node:crypto';
import sharp, { type Sharp } from 'sharp';
import type { ImageOutput, WatermarkPlan } from '../plan/plan.ts';
import type { Film } from '../tracer/tracer.ts';
import { developFilm } from './develop.ts';
import { pngWithXmp } from './png-xmp.ts';
import { Framing, type Print, PrintPair, type PrintSource } from './prints.ts';
import { fillOf } from './subject-bounds.ts';
import type { Watermark } from './watermark.ts';
import { type PictureMetadata, xmpPacket } from './xmp.ts';

/** What decides the bytes of a picture besides film, outputs and watermark; part of content keys. */
export const PICTURE_VERSION = `picture 1, sharp ${sharp.versions.sharp}, libvips ${sharp.versions.vips}`;

/** `extra`: files of a named output, which no page of the catalogue shows. */
export type ImageRole = 'picture' | 'extra' | 'thumbnail';

export interface EncodedImage {
  role: ImageRole;
  /** of the output, if it has one */
  name?: string;
  /** of the frame that was cut out, if it has one */
  frame?: string;
  format: ImageOutput['format'];
  /** file name extension without the dot */
  extension: string;
  width: number;
  height: number;
  /** larger share of the picture's sides that the subject takes */
  fill: number;
  /** length of `data` */
  bytes: number;
  /** lower-case hex */
  sha256: string;
  data: Uint8Array;
}

export interface EncodeOptions extends PrintSource {
  /** of outputs that say nothing of it, and of the thumbnail */
  watermark?: Watermark;
  /** of outputs that have their own */
  ownWatermarks?: ReadonlyMap<WatermarkPlan, Watermark>;
  /** what the picture shows and who made it, written into every file */
  metadata?: PictureMetadata;
  /** also make a thumbnail for the catalogue's index; on unless switched off */
  thumbnail?: boolean;
  /** told of each output whose frame cannot be cut without cutting the subject; it is left out */
  onRefused?: (output: ImageOutput) => void;
}

/** What printers take pictures to be meant for: 300 dots to the inch, here in pixels to the millimetre. */
const PRINT_DENSITY = { xres: 300 / 25.4, yres: 300 / 25.4, resolutionUnit: 'inch' } as const;

/** Width of index thumbnails: two to three columns on a phone, a card on a desktop at double density. */
const THUMBNAIL: ImageOutput = { format: 'webp', widths: [480], quality: 82 };

const EXTENSION = { avif: 'avif', webp: 'webp', jpeg: 'jpg', png: 'png', tiff: 'tif' } as const;

/**
 * Writes a film in every format and width asked for. Pictures are never enlarged: a width above the film's
 * gives one file at the film's own width.
 * @param film linear Rec. 709, top row first
 * @returns files in the order of `outputs` and their widths, widest first, duplicates dropped; thumbnail last
 */
export async function encodePictures(
  film: Film,
  outputs: readonly ImageOutput[],
  options: EncodeOptions = {},
): Promise<EncodedImage[]> {
  const full = developFilm(film, options.white);
  const whole = new PrintPair(full, film, options);
  const framed = new Framing(full, film, options);
  const measured = Number(fillOf(full).toFixed(3));
  const xmp = options.metadata && xmpPacket(options.metadata);
  const images: EncodedImage[] = [];
  const written = new Set<string>();
  const wanted: [ImageRole, ImageOutput][] = outputs.map((o) => [
    // browsers show no TIFF
    o.name || o.frame || o.format === 'tiff' ? 'extra' : 'picture',
    o,
  ]);
  if (options.thumbnail !== false) wanted.push(['thumbnail', THUMBNAIL]);
  for (const [role, output] of wanted) {
    const cut = output.frame && framed.cut(output);
    if (output.frame && !cut && !output.frame.orWhole) {
      options.onRefused?.(output);
      continue;
    }
    const { prints: pair, width: most, fill } = cut ?? { prints: whole, width: film.width, fill: measured };
    const widths = new Set(output.widths.map((w) => Math.min(w, most)));
    const prints = pair.for(output, role === 'thumbnail');
    for (const width of [...widths].sort((a, b) => b - a)) {
      // of outputs that differ by widths alone, a narrow film gives one file
      const file = [role, output.name, output.frame?.name, output.format, width].join(' ');
      if (written.has(file)) continue;
      written.add(file);
      const print = await prints.at(width, markOf(output, options));
      images.push({ ...(await encodePrint(print, output, role, xmp)), fill });
    }
  }
  return images;
}

function markOf({ watermark }: ImageOutput, options: EncodeOptions): Watermark | undefined {
  if (watermark === undefined) return options.watermark;
  if (watermark === false) return undefined;
  const mark = options.ownWatermarks?.get(watermark);
  if (!mark) throw new RangeError('expected every watermark of the outputs to be loaded');
  return mark;
}

async function encodePrint(
  print: Print,
  output: ImageOutput,
  role: ImageRole,
  xmp: string | undefined,
): Promise<Omit<EncodedImage, 'fill'>> {
  const { width, height } = print;
  const channels = print.data.length === width * height * 4 ? 4 : 3;
  const image = sharp(print.data, { raw: { width, height, channels } }).withIccProfile('srgb');
  const own = xmp !== undefined && output.format === 'png';
  const bytes = await encoder(xmp && !own ? image.withXmp(xmp) : image, output).toBuffer();
  const data = own ? pngWithXmp(bytes, xmp) : bytes;
  return {
    role,
    ...(output.name ? { name: output.name } : {}),
    ...(output.frame?.name ? { frame: output.frame.name } : {}),
    format: output.format,
    extension: EXTENSION[output.format],
    width,
    height,
    bytes: data.length,
    sha256: createHash('sha256').update(data).digest('hex'),
    data,
  };
}

function encoder(image: Sharp, { format, quality }: ImageOutput): Sharp {
  switch (format) {
    case 'avif':
      return image.avif({ quality, effort: 4, chromaSubsampling: '4:4:4' });
    case 'webp':
      return image.webp({ quality, smartSubsample: true, effort: 5 });
    case 'jpeg':
      // full chroma: small coloured stones smear when colour is halved
      return image.jpeg({ quality, mozjpeg: true, chromaSubsampling: '4:4:4' });
    case 'png':
      return image.png({ compressionLevel: 9, adaptiveFiltering: true });
    case 'tiff':
      return image.tiff({ compression: 'lzw', predictor: 'horizontal', ...PRINT_DENSITY });
  }
}
