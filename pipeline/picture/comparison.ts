/**
 * A traced film beside a realtime drawing of the same view: how far apart the metal's mean colours are.
 *
 * Means are of light as the display emits it, over pixels that show nothing but metal, then brought to CIELAB (D65, 2°).
 * They tell whether a metal looks like itself, not whether highlights lie alike.
 */
import sharp from 'sharp';
import type { Film } from '../tracer/tracer.ts';
import { deltaE2000 } from '../trade/colour-difference.ts';
import type { AlloyColour } from '../trade/colour-table.ts';
import { labOf } from '../trade/colour-table.ts';
import { developFilm, type LinearPicture, PAPER_WHITE } from './develop.ts';
import { resizePicture } from './resize.ts';
import { toCodes } from './srgb.ts';

export interface FilmComparison {
  traced: AlloyColour['lab'];
  model: AlloyColour['lab'];
  /** CIEDE2000 between the two */
  deltaE: number;
  /** pixels they are the means of */
  pixels: number;
}

export interface ComparedFilms {
  traced: Film;
  /** the same view, no larger than the traced one */
  model: Film;
  /** of the drawing's pixels: above 0 where metal is nearest */
  metal: Uint8Array;
  /** film level shown as paper white */
  white: number;
}

/** Pixels this near to an edge of the metal mix with what lies behind. */
const EDGE = 2;

/** Compares, and lays both beside each other as WebP, the traced picture left. */
export async function compareFilms(
  films: ComparedFilms,
): Promise<{ comparison: FilmComparison; width: number; height: number; data: Uint8Array }> {
  const model = developFilm(films.model, films.white);
  const traced = await resizePicture(developFilm(films.traced, films.white), model.width);
  if (traced.width !== model.width || traced.height !== model.height)
    throw new RangeError(
      `expected films of one view but received ${traced.width} × ${traced.height} and ${model.width} × ${model.height}`,
    );
  const inner = withoutEdges(films.metal, model.width, model.height);
  const [a, b] = [traced, model].map((frame) => labOf(meanOf(frame, inner)));
  const pixels = inner.reduce((n, m) => n + (m > 0 ? 1 : 0), 0);
  const comparison = { traced: a, model: b, deltaE: pixels > 0 ? deltaE2000(a, b) : 0, pixels };
  return { comparison, ...(await sideBySide(traced, model)) };
}

function withoutEdges(mask: Uint8Array, width: number, height: number): Uint8Array {
  const inner = new Uint8Array(mask.length);
  for (let y = EDGE; y < height - EDGE; y++)
    for (let x = EDGE; x < width - EDGE; x++) {
      let whole = true;
      for (let dy = -EDGE; dy <= EDGE && whole; dy++)
        for (let dx = -EDGE; dx <= EDGE && whole; dx++) whole = mask[(y + dy) * width + x + dx] > 0;
      inner[y * width + x] = whole ? 1 : 0;
    }
  return inner;
}

function meanOf({ data }: LinearPicture, mask: Uint8Array): [number, number, number] {
  const sum: [number, number, number] = [0, 0, 0];
  let n = 0;
  mask.forEach((m, i) => {
    if (m === 0) return;
    for (let c = 0; c < 3; c++) sum[c] += Math.max(0, data[3 * i + c]) / PAPER_WHITE;
    n++;
  });
  return sum.map((s) => (n > 0 ? s / n : 0)) as [number, number, number];
}

async function sideBySide(
  left: LinearPicture,
  right: LinearPicture,
): Promise<{ width: number; height: number; data: Uint8Array }> {
  const { width: w, height } = left;
  const gap = Math.round(w / 40);
  const width = 2 * w + gap;
  const layers = [left, right].map((frame, i) => ({
    input: Buffer.from(toCodes(frame.data, w, height)),
    raw: { width: w, height, channels: 3 as const },
    left: i * (w + gap),
    top: 0,
  }));
  const data = await sharp({ create: { width, height, channels: 3, background: '#ffffff' } })
    .composite(layers)
    .removeAlpha()
    .withIccProfile('srgb')
    .webp({ quality: 88 })
    .toBuffer();
  return { width, height, data };
}
