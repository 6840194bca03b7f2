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
 * smears: it changed no figure (soft-tent, 16 and 64 passes). In stones, taking what one half alone saw (five times their
 * neighbours' spread): pixels over ΔE 5 went from 2.1 to 1.8 in a thousand at 0.2 % of their light, since most are plain noise. What was left over ΔE 5 beside stones are pixels that show some
 * of a stone and are not filtered; the stop rule judges those with the stones.
 *
 * A film is filtered in bands of rows, which are the same whoever does them, so films are the same bits on any number of
 * threads (`filter-threads.ts`).
 */
import { type FilterGuide, lumaAt, sharedFloats } from './film-guide.ts';
import { CLOSED, KindMean, kindsIn, withoutSpikes } from './kind-mean.ts';
import { dimmed, sparkShares, withoutSparks } from './sparks.ts';
import { RADII, type Rows, rowsReached, type WindowFits } from './window-fits.ts';

/** Weights that sum to one, raw first, then one plane for each of RADII. */
type Weights = readonly Float32Array[];

export interface FilterChoice {
  /** which fit is taken where */
  weights: Weights;
  /** what pixels keep of their light (`sparks.ts`) */
  kept: Float32Array;
}

/** Rows of a band. What the filter holds at once grows with it, and what neighbours do twice with its inverse. */
const BAND = 128;
/**
 * Pixels round about over which the error of fits is averaged, and of calm pixels (`kind-mean.ts`). Over few of them a narrow
 * fit that follows noise looks better than a wide one by chance: smooth shaded metal had mottles there (a bore: SSIM of
 * lightness 0.9961 → 0.9969 over 8 and over 12; 8 for busy ones too 0.9963). Taking a narrower fit only where it is better by a
 * quarter of the raw film's error, in place of that, missed highlights: 0.9922.
 */
const JUDGE = 4;
const JUDGE_CALM = 8;
/** pixels over which the choice between fits fades */
const FADE = 2;
/** rows beyond a band that its choices hang on: means are taken twice, and spikes are told by their neighbours */
const BEYOND = 2 * (JUDGE_CALM + FADE) + 2;
/** Film units under which differences in the dark are not seen. */
const FLOOR = 0.12;

/** Work on all bands of a film: to choose between fits, or with films to apply what was chosen. */
export interface FilterTask {
  guide: FilterGuide;
  /** filled by choosing */
  choice: Weights;
  films?: {
    /** linear RGB */
    raw: readonly Float32Array[];
    /** filled by applying */
    filtered: readonly Float32Array[];
  };
}

/** Does every band of a task (`filterBand`). */
export type FilterHands = (task: FilterTask) => Promise<void>;

export const bandsOf = ({ guide }: FilterTask) => Math.ceil(guide.height / BAND);

/** @param stopped asked now and then: nobody waits for the band any more, and it is left as it is */
export function filterBand(
  task: FilterTask,
  band: number,
  fits: WindowFits,
  stopped: () => boolean = () => false,
): void {
  const rows = { from: band * BAND, to: Math.min(task.guide.height, (band + 1) * BAND) };
  if (task.films) apply(task, task.films.raw, task.films.filtered, rows, fits, stopped);
  else choose(task, rows, fits, stopped);
}

/** Hands of this thread alone. `pause` is awaited now and then, so that whoever works beside it has its turn. */
export const oneHand =
  (fits: WindowFits, pause: () => Promise<void> = async () => {}): FilterHands =>
  async (task) => {
    for (let band = 0; band < bandsOf(task); band++) {
      filterBand(task, band, fits);
      await pause();
    }
  };

/** Chooses a fit for each pixel. */
export async function chooseFits(guide: FilterGuide, hands: FilterHands): Promise<FilterChoice> {
  const kept = sparkShares(guide);
  const weights = Array.from({ length: RADII.length + 1 }, () => sharedFloats(guide.width * guide.height));
  await hands({ guide: withoutSparks(guide, kept), choice: weights });
  return { weights, kept };
}

/**
 * Filters films of colourways, linear RGB. Some at once go faster than one by one, and come to the same.
 * @param lit how many of them show light: a matte after them has no sparks
 */
export async function applyFits(
  guide: FilterGuide,
  hands: FilterHands,
  { weights, kept }: FilterChoice,
  films: readonly Float32Array[],
  lit = films.length,
): Promise<Float32Array[]> {
  const raw = films.map((film, i) => (i < lit ? dimmed(film, kept) : film));
  const filtered = raw.map(({ length }) => sharedFloats(length));
  await hands({ guide, choice: weights, films: { raw, filtered } });
  return filtered;
}

function choose({ guide, choice }: FilterTask, rows: Rows, fits: WindowFits, stopped: () => boolean): void {
  const { width, height, mean } = guide;
  const judged = { from: Math.max(0, rows.from - BEYOND), to: Math.min(height, rows.to + BEYOND) };
  fits.hold(guide, judged, 6);
  const { channels, values, out } = fits;
  const reach = rowsReached(judged, height);
  layHalves(guide, reach, values, channels);
  const count = (judged.to - judged.from) * width;
  const kinds = kindsIn(guide, judged);
  const halves = values.subarray((judged.from - reach.from) * width * channels);
  const light = mean.subarray(3 * judged.from * width);
  const around = new KindMean(kinds, width, count / width, JUDGE, JUDGE_CALM);
  const error = new Float32Array(count);
  const judge = (of: Float32Array) => {
    errorOf(of, halves, channels, light, error);
    return around.of(withoutSpikes(error, kinds, width));
  };
  const best = judge(halves);
  const chosen = new Uint8Array(count);
  for (const [i, radius] of RADII.entries()) {
    out.fill(0);
    fits.add(radius);
    if (stopped()) return;
    const its = judge(out);
    for (let p = 0; p < count; p++) {
      if (!(its[p] < best[p])) continue;
      best[p] = its[p];
      chosen[p] = i + 1;
    }
  }
  const fade = new KindMean(kinds, width, count / width, FADE);
  const kept = (rows.from - judged.from) * width;
  for (let i = 0; i < choice.length; i++) {
    for (let p = 0; p < count; p++) error[p] = chosen[p] === i ? 1 : 0;
    const faded = fade.of(error);
    // what is not filtered stays itself and takes no part
    if (i === 0) for (let p = 0; p < count; p++) if (kinds[p] === CLOSED) faded[p] = 1;
    choice[i].set(faded.subarray(kept, kept + (rows.to - rows.from) * width), rows.from * width);
  }
}

function layHalves(
  { width, mean, spread }: FilterGuide,
  rows: Rows,
  to: Float32Array,
  channels: number,
): void {
  const end = 3 * rows.to * width;
  for (let i = 3 * rows.from * width, at = 0; i < end; i += 3, at += channels) {
    to[at] = mean[i] + spread[i];
    to[at + 1] = mean[i + 1] + spread[i + 1];
    to[at + 2] = mean[i + 2] + spread[i + 2];
    to[at + 3] = mean[i] - spread[i];
    to[at + 4] = mean[i + 1] - spread[i + 1];
    to[at + 5] = mean[i + 2] - spread[i + 2];
  }
}

function apply(
  { guide, choice }: FilterTask,
  raw: readonly Float32Array[],
  filtered: readonly Float32Array[],
  rows: Rows,
  fits: WindowFits,
  stopped: () => boolean,
): void {
  const { width, height } = guide;
  fits.hold(guide, rows, 3 * raw.length);
  const { channels, values, out } = fits;
  const reach = rowsReached(rows, height);
  const pixels = (rows.to - rows.from) * width;
  const unfiltered = choice[0].subarray(rows.from * width, rows.to * width);
  for (const [c, film] of raw.entries())
    lay(film.subarray(3 * reach.from * width, 3 * reach.to * width), values.subarray(3 * c), channels);
  const own = values.subarray((rows.from - reach.from) * width * channels);
  for (let p = 0, at = 0; p < pixels; p++)
    for (let k = 0; k < channels; k++, at++) out[at] = own[at] * unfiltered[p];
  for (const [i, radius] of RADII.entries()) {
    fits.add(radius, choice[i + 1]);
    if (stopped()) return;
  }
  for (const [c, film] of raw.entries()) {
    const these = film.subarray(3 * rows.from * width, 3 * rows.to * width);
    const to = filtered[c].subarray(3 * rows.from * width);
    take(out.subarray(3 * c), channels, these, unfiltered, to);
  }
}

/** Lays a film's colours among others, `channels` apart. */
function lay(film: Float32Array, to: Float32Array, channels: number): void {
  for (let i = 0, at = 0; i < film.length; i += 3, at += channels) {
    to[at] = film[i];
    to[at + 1] = film[i + 1];
    to[at + 2] = film[i + 2];
  }
}

/** Takes a film's colours out again; where nothing was to be filtered they are the raw ones. */
function take(
  from: Float32Array,
  channels: number,
  raw: Float32Array,
  unfiltered: Float32Array,
  to: Float32Array,
): void {
  for (let p = 0, i = 0, at = 0; p < unfiltered.length; p++, i += 3, at += channels) {
    const kept = unfiltered[p] === 1;
    to[i] = kept ? raw[i] : Math.max(0, from[at]);
    to[i + 1] = kept ? raw[i + 1] : Math.max(0, from[at + 1]);
    to[i + 2] = kept ? raw[i + 2] : Math.max(0, from[at + 2]);
  }
}

/**
 * Estimates how far a fit's mean over both halves is from the truth, squared, relative to the light it sits on. With fits
 * F of halves A and B, n the noise of halves and b what both fits miss:
 *     E (F_A − B)² = b² + var F + var n,   E (F_A − F_B)² = 2 var F,   E (A − B)² = 2 var n,
 * and the error of the mean is b² + var F / 2.
 */
function errorOf(
  fit: Float32Array,
  halves: Float32Array,
  channels: number,
  light: Float32Array,
  out: Float32Array,
): void {
  for (let p = 0, at = 0; p < out.length; p++, at += channels) {
    const r = missed(halves[at], halves[at + 3], fit[at], fit[at + 3]);
    const g = missed(halves[at + 1], halves[at + 4], fit[at + 1], fit[at + 4]);
    const b = missed(halves[at + 2], halves[at + 5], fit[at + 2], fit[at + 5]);
    const y = lumaAt(light, p);
    out[p] = (r + g + b) / (y + FLOOR) ** 2;
  }
}

const missed = (a: number, b: number, fa: number, fb: number) =>
  ((fa - b) ** 2 + (fb - a) ** 2) / 2 - (fa - fb) ** 2 / 4 - (a - b) ** 2 / 2;
