/**
 * The error estimate: how far a film is from the picture infinitely many samples would give.
 *
 * Every block of samples goes to one of two halves A and B. For independent samples of standard deviation s,
 * mean(A) − mean(B) has the variance s²(1/nA + 1/nB), so
 *     (mean A − mean B)² · nA·nB / N²,   N = nA + nB,
 * is an unbiased estimate of s²/N, the variance of the mean shown. (Low-discrepancy points converge faster
 * together than their halves do, and dividing by a luminance that is itself noisy adds about 1.5 times the square
 * of the relative error, so the estimate errs on the safe side.)
 *
 * To match the eye a pixel's variance is weighted over R, G, B by luminance (for grey noise the weights sum to
 * one) and divided by (luminance + FLOOR)²: noise is judged relative to the light it sits on, but noise far down in
 * the shadows, where the display has few steps, is not. The error of a tile is the root of the mean over its
 * pixels, of the colourway in which that is largest: every film of a take meets the target.
 */
import { type FilmState, TILE, tileRect } from './film-state.ts';
import { addSplit, splitUnit } from './half-split.ts';

/**
 * In film units, 1 being display white. L/(L + 0.12) follows the slope of CIE 1976 lightness, L^⅓ for a relative
 * error, within a tenth from 5 % to 50 % of white (0.29, 0.63, 0.81 against 0.37, 0.58, 0.79): equal errors look
 * equally noisy in shadows and lights. (0.05 was tried: the holes under stones took as many samples as the stones.)
 */
export const FLOOR = 0.12;

const LUMA = [0.2126, 0.7152, 0.0722] as const; // Rec. ITU-R BT.709, item 3.2

/**
 * Adds a block of samples of rows `y0` up to `y1` of a tile, which count within the tile. `a` holds the sums of what
 * goes to half A, `b` of what goes to half B (colourway, row, column, RGB); a block of a single sample has no `b`.
 * Both come at once because their difference is small and their sums are not, and it is rounded.
 */
export function addBlock(
  film: FilmState,
  tile: number,
  y0: number,
  y1: number,
  a: Float32Array,
  b?: Float32Array,
): void {
  const r = tileRect(film, tile);
  const { width, height, sum, split } = film;
  let from = 0;
  for (let c = 0; c < film.colourways; c++) {
    for (let y = r.y + y0; y < r.y + y1; y++) {
      const to = ((c * height + y) * width + r.x) * 3;
      for (let i = 0; i < r.width * 3; i++) {
        sum[to + i] += a[from + i];
        if (b) sum[to + i] += b[from + i];
      }
      for (let x = 0; x < r.width; x++) {
        const i = from + 3 * x;
        const at = (to / 3 + x) * 4;
        if (b) addSplit(split, at, a[i] - b[i], a[i + 1] - b[i + 1], a[i + 2] - b[i + 2]);
        else addSplit(split, at, a[i], a[i + 1], a[i + 2]);
      }
      from += r.width * 3;
    }
  }
}

/**
 * Measures rows `y0` up to `y1` of a tile that has `nA` and `nB` samples in its halves. Kept per row and summed in
 * row order by `tileError`, so the result does not depend on how rows were shared out.
 */
export function measureRows(
  film: FilmState,
  tile: number,
  y0: number,
  y1: number,
  nA: number,
  nB: number,
): void {
  const r = tileRect(film, tile);
  const { width, height, sum, split, colourways, rowVariance } = film;
  const n = nA + nB;
  const known = nA > 0 && nB > 0;
  const share = (nA * nB) / (n * n);
  // mean A − mean B from the sum and the difference of both halves' sums
  const ofSum = (1 / nA - 1 / nB) / 2;
  const ofSplit = (1 / nA + 1 / nB) / 2;
  const perAll = 1 / n;
  for (let y = y0; y < y1; y++) {
    for (let c = 0; c < colourways; c++) {
      let total = known ? 0 : Number.POSITIVE_INFINITY;
      const row = ((c * height + r.y + y) * width + r.x) * 3;
      for (let p = row; known && p < row + r.width * 3; p += 3) {
        const at = (p / 3) * 4;
        const unit = splitUnit(split, at) * ofSplit;
        let variance = 0;
        let luminance = FLOOR;
        for (let k = 0; k < 3; k++) {
          const all = sum[p + k];
          const difference = all * ofSum + split[at + k] * unit;
          variance += LUMA[k] * difference * difference;
          luminance += LUMA[k] * all * perAll;
        }
        total += (variance * share) / (luminance * luminance);
      }
      rowVariance[(tile * TILE + y) * colourways + c] = total;
    }
  }
}

/** Relative standard error of a tile in its noisiest colourway. */
export function tileError(film: FilmState, tile: number): number {
  const { width, height } = tileRect(film, tile);
  let worst = 0;
  for (let c = 0; c < film.colourways; c++) {
    let total = 0;
    for (let y = 0; y < height; y++) total += film.rowVariance[(tile * TILE + y) * film.colourways + c];
    worst = Math.max(worst, total);
  }
  return Math.sqrt(worst / (width * height));
}
