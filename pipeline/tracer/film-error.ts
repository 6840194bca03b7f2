/**
 * The error estimate: how far a film is from the picture infinitely many samples would give.
 *
 * Every block of samples goes to one of two halves A and B. For independent samples of standard deviation s,
 * mean(A) − mean(B) has the variance s²(1/nA + 1/nB), so
 *     (mean A − mean B)² · nA·nB / N²,   N = nA + nB,
 * is an unbiased estimate of s²/N, the variance of the mean shown. (Low-discrepancy points converge faster
 * together than their halves do, so the estimate errs on the safe side.)
 *
 * What counts is what a viewer sees: lightness and colour, at viewing scale. A pixel's difference becomes a colour
 * difference by the slopes of CIELAB at its mean (chroma and hue weighed by CIE94, CIE 116-1995, since an equal step shows
 * less in a strong colour), after the display's compression of what is brighter than 0.8 of white. Looked at from where a
 * whole picture is seen, neighbouring pixels blur: a Gaussian of σ = 1 px, which leaves √(1/4π) of noise that pixels do not
 * share, and they share none. Divided by MID_GREY the error is a share of light again: one of 3 % is as visible as 3 % more
 * or less light on a mid grey. The error of a tile is the root of the mean square over its pixels, of the colourway in which
 * that is largest: every film of a take meets the target. Where pictures will show the filtered film, pixels count by what the
 * filter leaves of their error, and stones, which it leaves alone, are judged by themselves.
 *
 * (It was luminance over luminance + 0.12, pixel by pixel, with blue counted 7 % and red 21 %: stones came out with grain
 * whose colour is three times what was judged, and metal and ground were traced four to eight times too long beside them.)
 */
import { type FilmState, SEEN, TILE, tileRect } from './film-state.ts';
import { addSplit, splitUnit } from './half-split.ts';
import { FEATURES } from './kernel/layout.ts';

/** ΔL* per relative change of light at L* 50: 116/3 · Y^⅓ at Y = 0.1842 (CIE 15). */
const MID_GREY = 22;
/** Share of the amplitude of uncorrelated noise that a Gaussian of σ = 1 px leaves: 1/(2√π). */
const AT_VIEWING_SCALE = 0.2821;
/** Peaks above this are compressed by the display's curve (Khronos PBR Neutral, `picture/tone.ts`). */
const COMPRESSED = 0.76;
/**
 * What of the error, squared, counts in a pixel, by what it shows (SEEN of film-state.ts). The filter takes 1.6 times the
 * error off metal, at the least, and 4 times off ground (crop of a 1500 px picture in a soft tent, 16 passes, against 1024 of
 * other seeds: ΔE2000 of metal 0.49 → 0.31, of ground 0.24 → 0.06). In stones, which it leaves alone, 1.1 times the grain
 * passes unseen among facets that differ by tens of it. At 1.6 black stones had 1.8 pixels in a thousand over ΔE 5 and coloured
 * ones 1.7, for 56 and 28 samples a pixel; at 1.2 it is 0.7 and 0.3 for 86 and 38, at 1 0.3 and 0.2 for 120 and 49 (crops of
 * 1500 px pictures, 4 %, against 512 samples of other seeds). Under pin lights 1.2 left 1.1 for 448, 1.1 leaves 1.0 for 489.
 *
 * Judging a tile's worst row, or its worst cell of 4 × 4 pixels, in place of the mean of its stones was tried on the same
 * samples: as many pixels over ΔE 5 for as many samples (worst row 0.7 for 88, worst cell with the mean 0.5 for 87).
 */
export const COUNTS = [1, 1 / 1.6 ** 2, 1 / 1.1 ** 2] as const;
/** A tile's pixels of stone are judged as so many at least: the error of three says little. */
const LEAST_STONE = TILE;
/** place of stones' share among features */
const STONE = 2;
/** CIELAB is straight below (6/29)³, with this slope. */
const DARK = 0.008856;
const DARK_SLOPE = 7.787;

/**
 * Adds a block of samples of rows `y0` up to `y1` of a tile, which count within the tile. `a` holds the sums of what
 * goes to half A, `b` of what goes to half B (colourway, row, column, RGB); a block of a single sample has no `b`.
 * Both come at once because their difference is small and their sums are not, and it is rounded.
 * @param judged false where nobody will ask for the film's error
 */
export function addBlock(
  film: FilmState,
  tile: number,
  y0: number,
  y1: number,
  a: Float32Array,
  b?: Float32Array,
  judged = true,
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
      for (let x = 0; judged && x < r.width; x++) {
        const i = from + 3 * x;
        const at = (to / 3 + x) * 4;
        if (b) addSplit(split, at, a[i] - b[i], a[i + 1] - b[i + 1], a[i + 2] - b[i + 2]);
        else addSplit(split, at, a[i], a[i + 1], a[i + 2]);
      }
      from += r.width * 3;
    }
  }
}

/** Notes what pixels of a rectangle show, by their features (kernel/features.ts), where a film will be filtered. */
export function noteSeen(film: FilmState, x: number, y: number, w: number, features: Float32Array): void {
  for (let p = 0; p < features.length / FEATURES; p++)
    film.seen[(y + Math.floor(p / w)) * film.width + x + (p % w)] =
      features[p * FEATURES + STONE] > 0 ? SEEN.stone : SEEN.filtered;
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
  const { width, height, sum, split, colourways, rowVariance, seen } = film;
  const n = nA + nB;
  const known = nA > 0 && nB > 0;
  // mean A − mean B from the sum and the difference of both halves' sums, then to the error of the mean of all
  const share = (Math.sqrt(nA * nB) / n) * (AT_VIEWING_SCALE / MID_GREY);
  const ofSum = ((1 / nA - 1 / nB) / 2) * share;
  const ofSplit = ((1 / nA + 1 / nB) / 2) * share;
  const perAll = 1 / n;
  for (let y = y0; y < y1; y++) {
    for (let c = 0; c < colourways; c++) {
      let stones = 0;
      let rest = known ? 0 : Number.POSITIVE_INFINITY;
      const first = (r.y + y) * width + r.x;
      for (let pixel = first; known && pixel < first + r.width; pixel++) {
        const at = (c * width * height + pixel) * 4;
        const p = (at / 4) * 3;
        const unit = splitUnit(split, at) * ofSplit;
        const shows = seen[pixel];
        const square =
          COUNTS[shows] *
          seenSquare(
            sum[p] * perAll,
            sum[p + 1] * perAll,
            sum[p + 2] * perAll,
            sum[p] * ofSum + split[at] * unit,
            sum[p + 1] * ofSum + split[at + 1] * unit,
            sum[p + 2] * ofSum + split[at + 2] * unit,
          );
        if (shows === SEEN.stone) stones += square;
        else rest += square;
      }
      const to = ((tile * TILE + y) * colourways + c) * 2;
      rowVariance[to] = rest;
      rowVariance[to + 1] = stones;
    }
  }
}

/** Slope of CIELAB's f at t. */
const slope = (t: number) => (t > DARK ? Math.cbrt(t) / (3 * t) : DARK_SLOPE);

/** Square of the colour difference (CIE94) that a small difference (u, v, w) makes to the film's light (r, g, b). */
export function seenSquare(r: number, g: number, b: number, u: number, v: number, w: number): number {
  const peak = Math.max(r, g, b);
  let bright = 1;
  let steep = 1;
  if (peak > COMPRESSED) {
    const most = 1 - (1 - COMPRESSED) ** 2 / (peak + 1 - 2 * COMPRESSED);
    bright = most / peak;
    steep = ((1 - COMPRESSED) / (peak + 1 - 2 * COMPRESSED)) ** 2;
  }
  // linear Rec. 709 to XYZ over that of its white (IEC 61966-2-1)
  const x = bright * (0.4339 * r + 0.3762 * g + 0.1899 * b);
  const y = bright * (0.2126 * r + 0.7152 * g + 0.0722 * b);
  const z = bright * (0.0178 * r + 0.1095 * g + 0.8727 * b);
  const fx = slope(x);
  const fy = slope(y);
  const fz = slope(z);
  const dy = fy * bright * (0.2126 * u + 0.7152 * v + 0.0722 * w);
  // light along the colour itself is compressed more than its hue
  const lightness = 116 * dy * (steep / bright);
  const da = 500 * (fx * bright * (0.4339 * u + 0.3762 * v + 0.1899 * w) - dy);
  const db = 200 * (dy - fz * bright * (0.0178 * u + 0.1095 * v + 0.8727 * w));
  // three times the slope is the cube root itself over its light; near black both are small
  const a = 1500 * (fx * x - fy * y);
  const bb = 600 * (fy * y - fz * z);
  const chroma = Math.hypot(a, bb);
  const along = chroma > 0 ? (da * a + db * bb) / chroma : 0;
  const across = Math.max(0, da * da + db * db - along * along);
  return lightness ** 2 + (along / (1 + 0.045 * chroma)) ** 2 + across / (1 + 0.015 * chroma) ** 2;
}

/**
 * Error of a tile in its noisiest colourway, and in its stones or beside them, whichever is noisier: the share of a mid grey's
 * light that would show as much. (Over all pixels at once a tile that a stone touches was left while its stone was loud.)
 */
export function tileError(film: FilmState, tile: number): number {
  const { x, y, width, height } = tileRect(film, tile);
  let ofStone = 0;
  for (let j = y; j < y + height; j++)
    for (let i = x; i < x + width; i++) if (film.seen[j * film.width + i] === SEEN.stone) ofStone++;
  const ofRest = Math.max(1, width * height - ofStone);
  let worst = 0;
  for (let c = 0; c < film.colourways; c++) {
    let rest = 0;
    let stones = 0;
    for (let row = 0; row < height; row++) {
      const at = ((tile * TILE + row) * film.colourways + c) * 2;
      rest += film.rowVariance[at];
      stones += film.rowVariance[at + 1];
    }
    worst = Math.max(worst, rest / ofRest, stones / Math.max(LEAST_STONE, ofStone));
  }
  return Math.sqrt(worst);
}
