/** Pixels of a film ready to encode: whole or cut to frames, on the ground or cut out, each made once. */
import type { ImageOutput } from '../plan/plan.ts';
import type { Film } from '../tracer/tracer.ts';
import { cropBox, cropPicture, fillOfBox } from './crop.ts';
import { type Cutout, cutOut, cutoutCodes, resizeCutout } from './cutout.ts';
import { type LinearPicture, PAPER_WHITE, resizePicture } from './develop.ts';
import { toCodes } from './srgb.ts';
import { type Bounds, subjectBounds } from './subject-bounds.ts';
import { stampWatermark, type Watermark } from './watermark.ts';

/** What prints are made from beside the film. */
export interface PrintSource {
  /** film level shown as paper white: the level of the scene's ground; 1 unless given */
  white?: number;
  /** of a film on clear ground: PNG and WebP are cut out with it, JPEG and the thumbnail stay on white */
  matte?: Film;
  /** where the subject stands, shares of the film's sides, for frames; measured in the picture unless given */
  subject?: Bounds & { cut?: boolean };
  /** whether frames may go past the film: on white and clear ground, if the film does not cut the subject */
  extend?: boolean;
}

/** 8-bit sRGB pixels ready to encode: three channels, or four with straight alpha. */
export interface Print {
  width: number;
  height: number;
  data: Uint8Array;
}

/** Prints on the ground and, of a film with a matte, cut out of it. */
export class PrintPair {
  readonly #onGround: Prints;
  readonly #clear: Prints | undefined;

  constructor(full: LinearPicture, film: Film, options: PrintSource, box?: Bounds) {
    const crop = (frame: LinearPicture, ground: number) =>
      box ? cropPicture(frame, box, [ground, ground, ground]) : frame;
    this.#onGround = new Prints(() => crop(full, PAPER_WHITE));
    const { matte } = options;
    this.#clear =
      matte &&
      new Prints(() => {
        const { band, matte: shown } = cutOut(film, matte, options.white ?? 1);
        const bare = box ? cropPicture(shown, box, [0, PAPER_WHITE, 0]) : shown;
        return { band: crop(band, 0), matte: bare };
      });
  }

  /** @param plain on the ground whatever the format */
  for({ format }: ImageOutput, plain: boolean): Prints {
    return this.#clear && !plain && format !== 'jpeg' ? this.#clear : this.#onGround;
  }
}

/** Frames cut out of a film, each box once. */
export class Framing {
  readonly #full: LinearPicture;
  readonly #film: Film;
  readonly #options: PrintSource;
  readonly #subject: Bounds | undefined;
  readonly #cuts = new Map<string, { prints: PrintPair; width: number; fill: number }>();

  constructor(full: LinearPicture, film: Film, options: PrintSource) {
    this.#full = full;
    this.#film = film;
    this.#options = options;
    const { subject: s } = options;
    this.#subject = s
      ? {
          left: s.left * full.width,
          top: s.top * full.height,
          right: s.right * full.width,
          bottom: s.bottom * full.height,
        }
      : subjectBounds(full);
  }

  cut({ frame, widths }: ImageOutput): { prints: PrintPair; width: number; fill: number } | undefined {
    if (!frame || !this.#subject) return undefined;
    const box = cropBox(this.#full, this.#subject, {
      aspect: frame.aspect[0] / frame.aspect[1],
      fill: { most: frame.fill, least: frame.leastFill ?? frame.fill },
      ...(frame.align ? { align: frame.align } : {}),
      wanted: frame.leastFill === undefined ? 0 : Math.max(...widths),
      extend: this.#options.extend ?? false,
    });
    if (!box) return undefined;
    const key = Object.values(box).join(' ');
    const cut = this.#cuts.get(key) ?? {
      prints: new PrintPair(this.#full, this.#film, this.#options, box),
      width: box.right - box.left,
      // a band that runs out of its picture fills it
      fill: this.#options.subject?.cut ? 1 : Number(fillOfBox(box, this.#subject).toFixed(3)),
    };
    this.#cuts.set(key, cut);
    return cut;
  }
}

/** The prints of a frame or cut-out by width and watermark, each made once. */
class Prints {
  private readonly plain = new Map<number, Promise<Print>>();
  private readonly stamped = new Map<Watermark, Map<number, Promise<Print>>>();
  private readonly develop: (width: number) => Promise<Print>;

  constructor(source: () => LinearPicture | Cutout) {
    let full: LinearPicture | Cutout | undefined;
    this.develop = async (width) => {
      full ??= source();
      if (!('matte' in full)) {
        const frame = await resizePicture(full, width);
        return { ...frame, data: toCodes(frame.data, frame.width, frame.height) };
      }
      const small = await resizeCutout(full, width);
      return { width: small.band.width, height: small.band.height, data: cutoutCodes(small) };
    };
  }

  at(width: number, mark: Watermark | undefined): Promise<Print> {
    const plain = this.plain.get(width) ?? this.develop(width);
    this.plain.set(width, plain);
    if (!mark) return plain;
    const stamps = this.stamped.get(mark) ?? new Map<number, Promise<Print>>();
    this.stamped.set(mark, stamps);
    const stamped = stamps.get(width) ?? plain.then((p) => stampWatermark(p.data, p.width, p.height, mark));
    stamps.set(width, stamped);
    return stamped;
  }
}
