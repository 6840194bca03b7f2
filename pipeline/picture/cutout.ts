/**
 * Cut-outs: a film on clear ground as straight-alpha RGBA, the band opaque and its shadow a translucent black.
 *
 * A film is traced on white ground, and its matte tells how much of each pixel band covers (A) and what shows through
 * of the ground past band and shadow (T). Where no band is, the film itself tells what shows: its least channel, so
 * that a gleam on the ground brightens any ground in proportion and only its tint is left over. What remains when the
 * shown ground is taken away, P = display(film) − ground, is the band's own light, its edges weighted by coverage, and
 * that tint. All of it is kept in linear light until after resizing.
 *
 * Pictures are laid over others in code values, by every browser and layout program. So a shadow's alpha is 1 − its
 * code on white: over white it looks as in the picture on white ground, exactly; over other colours it darkens them by
 * the same share of their code. Edges mix code values by coverage, as is customary.
 */
import type { Film } from '../tracer/tracer.ts';
import type { Rgb } from '../trade/rgb.ts';
import { developFilm, type LinearPicture, PAPER_WHITE } from './develop.ts';
import { resizePicture } from './resize.ts';
import { encodeSrgb, quantise, triangular } from './srgb.ts';
import { toneCurve } from './tone.ts';

/** Display-linear, scaled like a `LinearPicture`. */
export interface Cutout {
  /** light of band and gleam, weighted by coverage */
  band: LinearPicture;
  /** red: coverage; green: the ground that shows, weighted by what the band leaves open */
  matte: LinearPicture;
}

/** @param white film level shown as paper white, which is the level of the ground that was traced */
export function cutOut(film: Film, matte: Film, white: number): Cutout {
  if (matte.width !== film.width || matte.height !== film.height)
    throw new RangeError(
      `expected a matte of ${film.width} × ${film.height} but received ${matte.width} × ${matte.height}`,
    );
  const band = developFilm(film, white);
  const curve = toneCurve(white);
  const shown: Rgb = [0, 0, 0];
  const data = new Float32Array(band.data.length);
  for (let i = 0; i < data.length; i += 3) {
    const coverage = Math.min(Math.max(matte.data[i], 0), 1);
    const open = 1 - coverage;
    const through = Math.max(matte.data[i + 1], 0);
    const level = open > 0 ? (white * through) / open : white;
    curve(level, level, level, shown);
    let ground = open * shown[0] * PAPER_WHITE;
    // edges can't tell a gleam from the band: it fades out over them
    const gleam = Math.min(band.data[i], band.data[i + 1], band.data[i + 2]) - ground;
    ground += Math.max(0, gleam) * Math.max(0, 1 - 4 * coverage);
    data[i] = coverage * PAPER_WHITE;
    data[i + 1] = ground;
    for (let k = 0; k < 3; k++) band.data[i + k] = Math.max(0, band.data[i + k] - ground);
  }
  return { band, matte: { width: film.width, height: film.height, data } };
}

export async function resizeCutout({ band, matte }: Cutout, width: number): Promise<Cutout> {
  return { band: await resizePicture(band, width), matte: await resizePicture(matte, width) };
}

/** Straight-alpha 8-bit sRGB, dithered like opaque pictures; full and empty pixels are exactly that. */
export function cutoutCodes({ band, matte }: Cutout): Uint8Array {
  const { width, height } = band;
  const out = new Uint8Array(width * height * 4);
  for (let y = 0, i = 0, o = 0; y < height; y++) {
    for (let x = 0; x < width; x++, i += 3, o += 4) {
      const coverage = unit(matte.data[i] / PAPER_WHITE);
      const open = 1 - coverage;
      const ground = open > 1e-6 ? unit(matte.data[i + 1] / PAPER_WHITE / open) : 1;
      const shade = encodeSrgb(ground);
      const alpha = 1 - open * shade;
      const noise = triangular(x, y);
      out[o + 3] = quantise(255 * alpha, noise);
      if (out[o + 3] === 0) continue;
      for (let k = 0; k < 3; k++) {
        const light = Math.max(0, band.data[i + k] / PAPER_WHITE);
        const own = coverage > 0 ? Math.min(1, light / coverage) : 0;
        // light beyond what the covered part can hold lies on the ground
        const gleam = open > 1e-6 ? Math.max(0, light - coverage) / open : 0;
        const code = coverage * encodeSrgb(own) + open * (encodeSrgb(Math.min(1, ground + gleam)) - shade);
        out[o + k] = quantise(255 * unit(code / alpha), noise);
      }
    }
  }
  return out;
}

function unit(v: number): number {
  return Math.min(1, Math.max(0, v));
}
