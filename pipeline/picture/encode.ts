/**
 * Linear film → finished picture files.
 *
 * Every file carries an sRGB ICC profile and nothing else: no date, no software name, so equal films give
 * equal bytes.
 */
import { createHash } from 'node:crypto';
import sharp, { type Sharp } from 'sharp';
import type { ImageOutput } from '../catalogue/plan.ts';
import type { Film } from '../tracer/tracer.ts';
import { type Cutout, cutOut, cutoutCodes, resizeCutout } from './cutout.ts';
import { developFilm, type Frame, resizeFrame } from './develop.ts';
import { toCodes } from './srgb.ts';
import { stampWatermark, type Watermark } from './watermark.ts';

/** What decides the bytes of a picture besides film, outputs and watermark; part of content keys. */
export const PICTURE_VERSION = `picture 1, sharp ${sharp.versions.sharp}, libvips ${sharp.versions.vips}`;

export type ImageRole = 'picture' | 'thumbnail';

export interface EncodedImage {
  role: ImageRole;
  format: ImageOutput['format'];
  /** file name extension without the dot */
  extension: string;
  width: number;
  height: number;
  /** length of `data` */
  bytes: number;
  /** lower-case hex */
  sha256: string;
  data: Uint8Array;
}

export interface EncodeOptions {
  /** film level shown as paper white: the level of the scene's ground; 1 unless given */
  white?: number;
  /** of a film on clear ground: PNG and WebP are cut out with it, JPEG and the thumbnail stay on white */
  matte?: Film;
  watermark?: Watermark;
  /** also make a thumbnail for the catalogue's index; on unless switched off */
  thumbnail?: boolean;
}

/** Width of index thumbnails: two to three columns on a phone, a card on a desktop at double density. */
const THUMBNAIL: ImageOutput = { format: 'webp', widths: [480], quality: 82 };

const EXTENSION = { webp: 'webp', jpeg: 'jpg', png: 'png' } as const;

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
  const onGround = new Prints(film, options);
  const clear = options.matte && new Prints(film, options, options.matte);
  const images: EncodedImage[] = [];
  const wanted: [ImageRole, ImageOutput][] = outputs.map((o) => ['picture', o]);
  if (options.thumbnail !== false) wanted.push(['thumbnail', THUMBNAIL]);
  for (const [role, output] of wanted) {
    const widths = new Set(output.widths.map((w) => Math.min(w, film.width)));
    for (const width of [...widths].sort((a, b) => b - a)) {
      const prints = clear && role === 'picture' && output.format !== 'jpeg' ? clear : onGround;
      images.push(await encodePrint(await prints.at(width), output, role));
    }
  }
  return images;
}

/** 8-bit sRGB pixels ready to encode: three channels, or four with straight alpha. */
export interface Print {
  width: number;
  height: number;
  data: Uint8Array;
}

/** The prints of a film by width, each made once; cut out if there is a matte. */
class Prints {
  private readonly made = new Map<number, Promise<Print>>();
  private readonly watermark: Watermark | undefined;
  private readonly develop: (width: number) => Promise<Print>;

  constructor(film: Film, options: EncodeOptions, matte?: Film) {
    this.watermark = options.watermark;
    let full: Frame | undefined;
    let cutout: Cutout | undefined;
    this.develop = async (width) => {
      if (!matte) {
        full ??= developFilm(film, options.white);
        const frame = await resizeFrame(full, width);
        return { ...frame, data: toCodes(frame.data, frame.width, frame.height) };
      }
      cutout ??= cutOut(film, matte, options.white ?? 1);
      const small = await resizeCutout(cutout, width);
      return { width: small.band.width, height: small.band.height, data: cutoutCodes(small) };
    };
  }

  at(width: number): Promise<Print> {
    const print =
      this.made.get(width) ??
      this.develop(width).then((p) => stampWatermark(p.data, p.width, p.height, this.watermark));
    this.made.set(width, print);
    return print;
  }
}

async function encodePrint(print: Print, output: ImageOutput, role: ImageRole): Promise<EncodedImage> {
  const { width, height } = print;
  const channels = print.data.length === width * height * 4 ? 4 : 3;
  const image = sharp(print.data, { raw: { width, height, channels } }).withIccProfile('srgb');
  const data = await encoder(image, output).toBuffer();
  return {
    role,
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
    case 'webp':
      return image.webp({ quality, smartSubsample: true, effort: 5 });
    case 'jpeg':
      // full chroma: small coloured stones smear when colour is halved
      return image.jpeg({ quality, mozjpeg: true, chromaSubsampling: '4:4:4' });
    case 'png':
      return image.png({ compressionLevel: 9, adaptiveFiltering: true });
  }
}
