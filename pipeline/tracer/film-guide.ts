/**
 * What the film filter needs beside the films, as five planes that travel and are kept as films are: four of features
 * (kernel/features.ts, three each), then the spread, half the difference of what both halves of the samples say, as the mean
 * of all colourways.
 */
import { type FilmState, TILE, tileRect } from './film-state.ts';
import { splitUnit } from './half-split.ts';
import { FEATURES } from './kernel/layout.ts';
import type { Film } from './tracer.ts';

export const FEATURE_PLANES = FEATURES / 3;
export const GUIDE_PLANES = FEATURE_PLANES + 1;

const LUMA = [0.2126, 0.7152, 0.0722] as const; // Rec. ITU-R BT.709, item 3.2

/** Luminance of a pixel of linear RGB. */
export const lumaAt = (rgb: Float32Array, p: number): number =>
  LUMA[0] * rgb[3 * p] + LUMA[1] * rgb[3 * p + 1] + LUMA[2] * rgb[3 * p + 2];

/** Plane `plane` of features that lie FEATURES a pixel. */
export function featurePlane(features: Float32Array, plane: number): Float32Array<ArrayBuffer> {
  const out = new Float32Array((features.length / FEATURES) * 3);
  for (let i = 0, at = 3 * plane; i < out.length; i += 3, at += FEATURES) {
    out[i] = features[at];
    out[i + 1] = features[at + 1];
    out[i + 2] = features[at + 2];
  }
  return out;
}

/** The spread over the first `colourways` planes in rows of tiles `from` up to `to`. */
export function spreadRows(
  film: FilmState,
  colourways: number,
  from: number,
  to: number,
): Float32Array<ArrayBuffer> {
  const { width, height, tilesX, sum, split } = film;
  const start = from * TILE * width;
  const out = new Float32Array((Math.min(to * TILE, height) * width - start) * 3);
  for (let tile = from * tilesX; tile < to * tilesX; tile++) {
    const nA = film.halfSamples[tile];
    const nB = film.samples[tile] - nA;
    if (nA === 0 || nB === 0) continue;
    // half of mean A − mean B, from the sum and the difference of both halves' sums
    const ofSum = (1 / nA - 1 / nB) / 4 / colourways;
    const ofSplit = (1 / nA + 1 / nB) / 4 / colourways;
    const r = tileRect(film, tile);
    for (let c = 0; c < colourways; c++)
      for (let y = r.y; y < r.y + r.height; y++)
        for (let x = r.x; x < r.x + r.width; x++) {
          const pixel = y * width + x;
          const p = c * width * height + pixel;
          const unit = splitUnit(split, 4 * p) * ofSplit;
          for (let k = 0; k < 3; k++)
            out[3 * (pixel - start) + k] += sum[3 * p + k] * ofSum + split[4 * p + k] * unit;
        }
  }
  return out;
}

/** Numbers in memory that threads share. */
export const sharedFloats = (count: number) => new Float32Array(new SharedArrayBuffer(count * 4));

export function inShared(data: Float32Array): Float32Array {
  if (data.buffer instanceof SharedArrayBuffer) return data;
  const copy = sharedFloats(data.length);
  copy.set(data);
  return copy;
}

/** What is known of all colourways of a take together. */
export interface FilterGuide {
  width: number;
  height: number;
  /** FEATURES floats a pixel */
  features: Float32Array;
  /** mean over colourways, RGB */
  mean: Float32Array;
  /** half the difference of both halves' means of that, RGB: one half is mean + spread */
  spread: Float32Array;
}

/** Puts the planes together again, where threads can read them. */
export function guideOf(planes: readonly Film[], mean: Float32Array): FilterGuide {
  const [{ width, height }] = planes;
  const features = sharedFloats(width * height * FEATURES);
  planes.slice(0, FEATURE_PLANES).forEach(({ data }, plane) => {
    for (let i = 0, at = 3 * plane; i < data.length; i += 3, at += FEATURES)
      for (let k = 0; k < 3; k++) features[at + k] = data[i + k];
  });
  return { width, height, features, mean: inShared(mean), spread: inShared(planes[FEATURE_PLANES].data) };
}
