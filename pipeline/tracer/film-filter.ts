/**
 * The film filter: takes grain off metal and ground and leaves stones as they were traced, since whatever smooths them
 * smears their fire.
 *
 * First-order regression on features (Bitterli et al., "Nonlinearly Weighted First-order Regression for Denoising Monte
 * Carlo Renderings", EGSR 2016), in windows that overlap: in each, colours are fitted as a linear function of what pixels
 * show (`kernel/features.ts`), and every pixel gets the mean of its windows' fits, by weights that fall smoothly to nothing
 * at a window's edge, so that no window shows. Features of metal and of ground count by a pixel's shares of them: fits of
 * edge pixels are sums of both.
 *
 * Four sizes of windows, each wide one for what narrower ones leave of slow error. Which is best where is judged by two
 * halves of the samples: a fit of half A is compared with half B and the other way round, so that a fit which follows
 * noise or misses a highlight is told from one that does not. Where none beats the raw film it stays. Judged for all
 * colourways together (their noise is that of the same paths), applied to each: colourways still compare cleanly.
 *
 * Tried: barring a fit where both halves' misses agree over a few pixels by more than chance, against sparks that a wide fit
 * smears: it changed no figure (soft-tent, 16 and 64 passes). What was left over ΔE 5 beside stones are pixels that show some
 * of a stone and are not filtered; the stop rule judges those with the stones.
 *
 * Deterministic: sums in fixed order. `pause` is awaited every now and then: filtering a large take lasts for seconds, and
 * whoever works beside it must have its turn.
 */
import type { FilterGuide } from './film-guide.ts';
import { filterable, type Pause, type Values, valuesFor, WindowFits } from './window-fits.ts';

/** Half widths of windows in pixels; also the distance between their middles. */
export const RADII = [4, 8, 16, 32] as const;

/** Which fit is taken where: weights that sum to one, raw first, then one plane for each of RADII. */
export type FilterChoice = readonly Float32Array[];

/** Pixels round about over which the error of fits is averaged, and over which the choice between them fades. */
const JUDGE = 4;
const FADE = 2;
/** Film units under which differences in the dark are not seen; see FLOOR of film-error.ts. */
const FLOOR = 0.12;
const LUMA = [0.2126, 0.7152, 0.0722] as const; // Rec. ITU-R BT.709, item 3.2

/** Chooses a fit for each pixel. `sums` is the module of `filter-module.ts`. */
export async function chooseFits(
  guide: FilterGuide,
  sums: WebAssembly.Module,
  pause: Pause = async () => {},
): Promise<FilterChoice> {
  const { width, height, mean, spread } = guide;
  const count = width * height;
  const open = filterable(guide);
  const halves = valuesFor(count, 6);
  const { channels } = halves;
  for (let p = 0; p < count; p++)
    for (let k = 0; k < 3; k++) {
      halves.data[channels * p + k] = mean[3 * p + k] + spread[3 * p + k];
      halves.data[channels * p + 3 + k] = mean[3 * p + k] - spread[3 * p + k];
    }
  const error = new Float32Array(count);
  const judge = new BoxMean(open, width, height, JUDGE);
  errorOf(halves, halves, mean, error);
  const best = judge.of(error);
  const chosen = new Uint8Array(count);
  const windows = await WindowFits.create(guide, sums);
  const fit = valuesFor(count, 6);
  for (const [i, radius] of RADII.entries()) {
    fit.data.fill(0);
    await windows.add(halves, radius, fit, pause);
    errorOf(fit, halves, mean, error);
    const judged = judge.of(error);
    await pause();
    for (let p = 0; p < count; p++) {
      if (!open[p] || !(judged[p] < best[p])) continue;
      best[p] = judged[p];
      chosen[p] = i + 1;
    }
  }
  const fade = new BoxMean(open, width, height, FADE);
  return Array.from({ length: RADII.length + 1 }, (_, i) => {
    const plane = new Float32Array(count);
    for (let p = 0; p < count; p++) plane[p] = chosen[p] === i ? 1 : 0;
    const faded = fade.of(plane);
    // what is not filtered stays itself and takes no part
    for (let p = 0; p < count; p++) if (!open[p]) faded[p] = i === 0 ? 1 : 0;
    return faded;
  });
}

/** Filters films of colourways, linear RGB. Some at once go faster than one by one, and come to the same. */
export async function applyFits(
  guide: FilterGuide,
  sums: WebAssembly.Module,
  choice: FilterChoice,
  films: readonly Float32Array[],
  pause: Pause = async () => {},
): Promise<Float32Array[]> {
  const count = guide.width * guide.height;
  const values = valuesFor(count, 3 * films.length);
  const { channels } = values;
  films.forEach((film, c) => {
    for (let p = 0; p < count; p++)
      for (let k = 0; k < 3; k++) values.data[p * channels + 3 * c + k] = film[3 * p + k];
  });
  const out = { channels, data: new Float32Array(count * channels) };
  for (let p = 0; p < count; p++)
    for (let k = p * channels; k < (p + 1) * channels; k++) out.data[k] = values.data[k] * choice[0][p];
  const windows = await WindowFits.create(guide, sums);
  for (const [i, radius] of RADII.entries()) await windows.add(values, radius, out, pause, choice[i + 1]);
  return films.map((film, c) => {
    const filtered = film.slice();
    for (let p = 0; p < count; p++) {
      if (choice[0][p] === 1) continue;
      for (let k = 0; k < 3; k++) filtered[3 * p + k] = Math.max(0, out.data[p * channels + 3 * c + k]);
    }
    return filtered;
  });
}

/**
 * Estimates how far a fit's mean over both halves is from the truth, squared, relative to the light it sits on. With fits
 * F of halves A and B, n the noise of halves and b what both fits miss:
 *     E (F_A − B)² = b² + var F + var n,   E (F_A − F_B)² = 2 var F,   E (A − B)² = 2 var n,
 * and the error of the mean is b² + var F / 2.
 */
function errorOf(fit: Values, halves: Values, mean: Float32Array, out: Float32Array): void {
  const { channels } = halves;
  for (let p = 0; p < out.length; p++) {
    let sum = 0;
    let luminance = FLOOR;
    for (let k = 0; k < 3; k++) {
      const at = channels * p + k;
      const a = halves.data[at];
      const b = halves.data[at + 3];
      const fa = fit.data[at];
      const fb = fit.data[at + 3];
      sum += ((fa - b) ** 2 + (fb - a) ** 2) / 2 - (fa - fb) ** 2 / 4 - (a - b) ** 2 / 2;
      luminance += LUMA[k] * mean[3 * p + k];
    }
    out[p] = sum / (luminance * luminance);
  }
}

/** Means over the open pixels of squares of 2·radius + 1, twice over, which is nearly a bell. */
class BoxMean {
  private readonly open: Uint8Array;
  private readonly width: number;
  private readonly height: number;
  private readonly radius: number;
  private readonly weights: Float32Array;

  constructor(open: Uint8Array, width: number, height: number, radius: number) {
    this.open = open;
    this.width = width;
    this.height = height;
    this.radius = radius;
    this.weights = this.sums(new Float32Array(open));
  }

  of(values: Float32Array): Float32Array {
    const sums = values.slice();
    for (let p = 0; p < sums.length; p++) if (!this.open[p]) sums[p] = 0;
    this.sums(sums);
    for (let p = 0; p < sums.length; p++) sums[p] = this.open[p] ? sums[p] / this.weights[p] : 0;
    return sums;
  }

  private sums(plane: Float32Array): Float32Array {
    for (let round = 0; round < 2; round++) {
      this.across(plane);
      this.down(plane);
    }
    return plane;
  }

  private across(plane: Float32Array): void {
    const { width, height, radius } = this;
    const line = new Float64Array(width + 1);
    for (let at = 0; at < width * height; at += width) {
      for (let i = 0; i < width; i++) line[i + 1] = line[i] + plane[at + i];
      for (let i = 0; i < width; i++)
        plane[at + i] = line[Math.min(width, i + radius + 1)] - line[Math.max(0, i - radius)];
    }
  }

  /** Row by row, since columns lie far apart in memory. */
  private down(plane: Float32Array): void {
    const { width, height, radius } = this;
    const sums = new Float64Array(width);
    /** rows as they were, as many as a sum still takes back */
    const kept = new Float32Array(width * (radius + 1));
    for (let y = -radius; y < height; y++) {
      const ahead = (y + radius) * width;
      if (y + radius < height) for (let x = 0; x < width; x++) sums[x] += plane[ahead + x];
      if (y < 0) continue;
      const slot = (y % (radius + 1)) * width;
      // the row that was kept radius + 1 rows ago has left the square
      if (y > radius) for (let x = 0; x < width; x++) sums[x] -= kept[slot + x];
      for (let x = 0; x < width; x++) {
        kept[slot + x] = plane[y * width + x];
        plane[y * width + x] = sums[x];
      }
    }
  }
}
