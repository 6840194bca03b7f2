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
 * Deterministic: sums in fixed order. `pause` is awaited every now and then: filtering a large take lasts for seconds, and
 * whoever works beside it must have its turn.
 */
import type { FilterGuide } from '../../pipeline/tracer/film-guide.ts';
import { FEATURES } from '../../pipeline/tracer/kernel/layout.ts';

/** Half widths of windows in pixels; also the distance between their middles. */
export const RADII = [4, 8, 16, 32] as const;

/** Which fit is taken where: weights that sum to one, raw first, then one plane for each of RADII. */
export type FilterChoice = readonly Float32Array[];

/** places of features; those from NORMAL on are columns of the fit as they are, all premultiplied by metal's share */
const METAL = 0;
const GROUND = 1;
const STONE = 2;
const LIGHT = 6;
/** metal, metal·x, metal·y and the features from the normal on; then ground, ground·(x, y, x², xy, y²) */
const METAL_COLUMNS = FEATURES;
const COLUMNS = METAL_COLUMNS + 6;
/**
 * What a column may differ by chance between pixels, squared: by so much a pixel each is held towards zero. It keeps fits
 * from following features that hardly change within a window.
 */
const NOISE = Float64Array.from({ length: COLUMNS }, (_, i) =>
  i < 3 || i >= METAL_COLUMNS ? 1e-6 : i < LIGHT ? 2e-5 : 1e-4,
);
/** Pixels round about over which the error of fits is averaged, and over which the choice between them fades. */
const JUDGE = 4;
const FADE = 2;
/** Film units under which differences in the dark are not seen; see FLOOR of film-error.ts. */
const FLOOR = 0.12;
const LUMA = [0.2126, 0.7152, 0.0722] as const; // Rec. ITU-R BT.709, item 3.2

type Pause = () => Promise<void>;

/** Chooses a fit for each pixel. */
export async function chooseFits(guide: FilterGuide, pause: Pause = async () => {}): Promise<FilterChoice> {
  const { width, height, mean, spread } = guide;
  const count = width * height;
  const open = filterable(guide);
  const halves = new Float32Array(count * 6);
  for (let p = 0; p < count; p++)
    for (let k = 0; k < 3; k++) {
      halves[6 * p + k] = mean[3 * p + k] + spread[3 * p + k];
      halves[6 * p + 3 + k] = mean[3 * p + k] - spread[3 * p + k];
    }
  const error = new Float32Array(count);
  errorOf(halves, halves, mean, error);
  const best = boxMean(error, open, width, height, JUDGE);
  const chosen = new Uint8Array(count);
  const fit = new Float32Array(count * 6);
  for (const [i, radius] of RADII.entries()) {
    fit.fill(0);
    await fitWindows(guide, open, halves, 6, radius, fit, pause);
    errorOf(fit, halves, mean, error);
    const judged = boxMean(error, open, width, height, JUDGE);
    for (let p = 0; p < count; p++) {
      if (!open[p] || !(judged[p] < best[p])) continue;
      best[p] = judged[p];
      chosen[p] = i + 1;
    }
  }
  return Array.from({ length: RADII.length + 1 }, (_, i) => {
    const plane = Float32Array.from(chosen, (c) => (c === i ? 1 : 0));
    // what is not filtered stays itself and takes no part
    const faded = boxMean(plane, open, width, height, FADE);
    return faded.map((v, p) => (open[p] ? v : i === 0 ? 1 : 0));
  });
}

/** Filters films of colourways, linear RGB. Some at once go faster than one by one, and come to the same. */
export async function applyFits(
  guide: FilterGuide,
  choice: FilterChoice,
  films: readonly Float32Array[],
  pause: Pause = async () => {},
): Promise<Float32Array[]> {
  const count = guide.width * guide.height;
  const channels = 3 * films.length;
  const open = filterable(guide);
  const values = new Float32Array(count * channels);
  films.forEach((film, c) => {
    for (let p = 0; p < count; p++)
      for (let k = 0; k < 3; k++) values[p * channels + 3 * c + k] = film[3 * p + k];
  });
  const out = values.map((v, i) => v * choice[0][Math.floor(i / channels)]);
  for (const [i, radius] of RADII.entries())
    await fitWindows(guide, open, values, channels, radius, out, pause, choice[i + 1]);
  return films.map((film, c) => {
    const filtered = Float32Array.from(film);
    for (let p = 0; p < count; p++) {
      if (choice[0][p] === 1) continue;
      for (let k = 0; k < 3; k++) filtered[3 * p + k] = Math.max(0, out[p * channels + 3 * c + k]);
    }
    return filtered;
  });
}

/** 1 where a pixel shows no stone. */
function filterable({ features, width, height }: FilterGuide): Uint8Array {
  const open = new Uint8Array(width * height);
  for (let p = 0; p < open.length; p++) open[p] = features[p * FEATURES + STONE] > 0 ? 0 : 1;
  return open;
}

/**
 * Estimates how far a fit's mean over both halves is from the truth, squared, relative to the light it sits on. With fits
 * F of halves A and B, n the noise of halves and b what both fits miss:
 *     E (F_A − B)² = b² + var F + var n,   E (F_A − F_B)² = 2 var F,   E (A − B)² = 2 var n,
 * and the error of the mean is b² + var F / 2.
 */
function errorOf(fit: Float32Array, halves: Float32Array, mean: Float32Array, out: Float32Array): void {
  for (let p = 0; p < out.length; p++) {
    let sum = 0;
    let luminance = FLOOR;
    for (let k = 0; k < 3; k++) {
      const a = halves[6 * p + k];
      const b = halves[6 * p + 3 + k];
      const fa = fit[6 * p + k];
      const fb = fit[6 * p + 3 + k];
      sum += ((fa - b) ** 2 + (fb - a) ** 2) / 2 - (fa - fb) ** 2 / 4 - (a - b) ** 2 / 2;
      luminance += LUMA[k] * mean[3 * p + k];
    }
    out[p] = sum / (luminance * luminance);
  }
}

/** Means over the open pixels of squares of 2·radius + 1, twice over, which is nearly a bell. */
function boxMean(
  values: Float32Array,
  open: Uint8Array,
  width: number,
  height: number,
  radius: number,
): Float32Array {
  const sums = values.map((v, p) => (open[p] ? v : 0));
  const weights = Float32Array.from(open);
  for (const plane of [sums, weights])
    for (let round = 0; round < 2; round++) {
      boxSum(plane, width, height, 1, width, radius);
      boxSum(plane, height, width, width, 1, radius);
    }
  return sums.map((v, p) => (open[p] ? v / weights[p] : 0));
}

/** Running sums along lines of `length` values `step` apart, in place. */
function boxSum(
  plane: Float32Array,
  length: number,
  lines: number,
  step: number,
  between: number,
  radius: number,
): void {
  const line = new Float64Array(length + 1);
  for (let l = 0; l < lines; l++) {
    const at = l * between;
    for (let i = 0; i < length; i++) line[i + 1] = line[i] + plane[at + i * step];
    for (let i = 0; i < length; i++)
      plane[at + i * step] = line[Math.min(length, i + radius + 1)] - line[Math.max(0, i - radius)];
  }
}

/** What windows are fitted to: pixels, or for wide windows the means of some. */
interface Cells {
  /** pixels on a cell's side */
  side: number;
  width: number;
  height: number;
  /** pixels that count in each cell */
  weight: Float32Array;
  features: Float32Array;
  values: Float32Array;
}

/** Half a window must be at least so many cells wide. */
const LEAST_CELLS = 8;

function cellsOf(
  guide: FilterGuide,
  open: Uint8Array,
  values: Float32Array,
  channels: number,
  side: number,
): Cells {
  const { features } = guide;
  const width = Math.ceil(guide.width / side);
  const height = Math.ceil(guide.height / side);
  if (side === 1) return { side, width, height, weight: Float32Array.from(open), features, values };
  const cells: Cells = {
    side,
    width,
    height,
    weight: new Float32Array(width * height),
    features: new Float32Array(width * height * FEATURES),
    values: new Float32Array(width * height * channels),
  };
  for (let p = 0; p < open.length; p++) {
    if (!open[p]) continue;
    const y = Math.floor(p / guide.width);
    const cell = Math.floor(y / side) * width + Math.floor((p - y * guide.width) / side);
    cells.weight[cell]++;
    for (let f = 0; f < FEATURES; f++) cells.features[cell * FEATURES + f] += features[p * FEATURES + f];
    for (let k = 0; k < channels; k++) cells.values[cell * channels + k] += values[p * channels + k];
  }
  cells.weight.forEach((weight, cell) => {
    if (weight === 0) return;
    for (let f = 0; f < FEATURES; f++) cells.features[cell * FEATURES + f] /= weight;
    for (let k = 0; k < channels; k++) cells.values[cell * channels + k] /= weight;
  });
  return cells;
}

/**
 * Fits all windows of one size and adds each pixel's mean of their fits to `out`, times `wanted` where given: windows
 * where that is nothing are passed over. Where both halves agree throughout a window there is no grain, and its pixels
 * stay as they are.
 */
async function fitWindows(
  guide: FilterGuide,
  open: Uint8Array,
  values: Float32Array,
  channels: number,
  radius: number,
  out: Float32Array,
  pause: Pause,
  wanted?: Float32Array,
): Promise<void> {
  const { width, height } = guide;
  const cells = cellsOf(guide, open, values, channels, Math.max(1, radius / LEAST_CELLS));
  const fit = new WindowFit(guide, cells, open, channels, radius);
  for (let y = 0; y < height + radius; y += radius) {
    await pause();
    for (let x = 0; x < width + radius; x += radius) {
      const kind = fit.kindOf(x, y, wanted);
      if (kind === 'idle') continue;
      if (kind === 'fit') fit.gather(x, y);
      fit.spread(x, y, kind === 'fit' ? undefined : values, out, wanted);
    }
  }
}

const GROUND_COLUMNS = COLUMNS - METAL_COLUMNS;

class WindowFit {
  private readonly guide: FilterGuide;
  private readonly cells: Cells;
  private readonly open: Uint8Array;
  private readonly channels: number;
  private readonly radius: number;
  private readonly columns = new Float64Array(COLUMNS);
  private readonly matrix = new Float64Array(COLUMNS * COLUMNS);
  private readonly right: Float64Array;
  /** of a window at a distance from its middle; those of neighbours at `radius` add up to one */
  private readonly weights: Float64Array;
  /** the window at hand holds metal, and ground */
  private metal = false;
  private ground = false;

  constructor(guide: FilterGuide, cells: Cells, open: Uint8Array, channels: number, radius: number) {
    this.guide = guide;
    this.cells = cells;
    this.open = open;
    this.channels = channels;
    this.radius = radius;
    this.right = new Float64Array(COLUMNS * channels);
    this.weights = Float64Array.from(
      { length: radius },
      (_, d) => 0.5 + 0.5 * Math.cos((Math.PI * d) / radius),
    );
  }

  /** What is to be done in the window about (cx, cy). */
  kindOf(cx: number, cy: number, wanted: Float32Array | undefined): 'fit' | 'stay' | 'idle' {
    const { open, radius } = this;
    const { width, height, features, spread } = this.guide;
    this.metal = false;
    this.ground = false;
    let noisy = false;
    let asked = false;
    for (let y = Math.max(0, cy - radius); y < Math.min(height, cy + radius + 1); y++)
      for (let x = Math.max(0, cx - radius); x < Math.min(width, cx + radius + 1); x++) {
        const p = y * width + x;
        if (open[p] === 0) continue;
        if (noisy && asked && this.metal && this.ground) return 'fit';
        this.metal ||= features[p * FEATURES + METAL] > 0;
        this.ground ||= features[p * FEATURES + GROUND] > 0;
        noisy ||= spread[3 * p] !== 0 || spread[3 * p + 1] !== 0 || spread[3 * p + 2] !== 0;
        asked ||= wanted === undefined || wanted[p] > 0;
      }
    return asked ? (noisy ? 'fit' : 'stay') : 'idle';
  }

  private get size(): number {
    return (this.metal ? METAL_COLUMNS : 0) + (this.ground ? GROUND_COLUMNS : 0);
  }

  /** Sets up and solves the normal equations of the window about (cx, cy). */
  gather(cx: number, cy: number): void {
    const { cells, channels, radius, matrix, right, columns } = this;
    const { side, weight, values } = cells;
    const n = this.size;
    matrix.fill(0, 0, n * n);
    right.fill(0, 0, n * channels);
    let pixels = 0;
    const x0 = Math.max(0, Math.floor((cx - radius) / side));
    const x1 = Math.min(cells.width - 1, Math.floor((cx + radius) / side));
    const y1 = Math.min(cells.height - 1, Math.floor((cy + radius) / side));
    for (let y = Math.max(0, Math.floor((cy - radius) / side)); y <= y1; y++)
      for (let x = x0; x <= x1; x++) {
        const cell = y * cells.width + x;
        const w = weight[cell];
        if (w === 0) continue;
        pixels += w;
        const middle = (side - 1) / 2;
        this.columnsOf(
          cells.features,
          cell,
          (x * side + middle - cx) / radius,
          (y * side + middle - cy) / radius,
        );
        const at = cell * channels;
        for (let i = 0; i < n; i++) {
          const c = w * columns[i];
          if (c === 0) continue;
          const row = i * n;
          for (let j = 0; j <= i; j++) matrix[row + j] += c * columns[j];
          const to = i * channels;
          for (let k = 0; k < channels; k += 3) {
            right[to + k] += c * values[at + k];
            right[to + k + 1] += c * values[at + k + 1];
            right[to + k + 2] += c * values[at + k + 2];
          }
        }
      }
    const first = this.metal ? 0 : METAL_COLUMNS;
    for (let i = 0; i < n; i++) matrix[i * n + i] += pixels * NOISE[first + i];
    solve(matrix, right, n, channels);
  }

  /** Adds what the fit says of the window's pixels, by their weights; or their own values where given. */
  spread(
    cx: number,
    cy: number,
    own: Float32Array | undefined,
    out: Float32Array,
    wanted: Float32Array | undefined,
  ): void {
    const { guide, channels, radius, right, columns, weights, open } = this;
    const { width, height, features } = guide;
    const n = this.size;
    for (let y = Math.max(0, cy - radius + 1); y < Math.min(height, cy + radius); y++)
      for (let x = Math.max(0, cx - radius + 1); x < Math.min(width, cx + radius); x++) {
        const p = y * width + x;
        if (open[p] === 0) continue;
        const weight = weights[Math.abs(x - cx)] * weights[Math.abs(y - cy)] * (wanted ? wanted[p] : 1);
        if (weight === 0) continue;
        const to = p * channels;
        if (own) {
          for (let k = 0; k < channels; k++) out[to + k] += weight * own[to + k];
          continue;
        }
        this.columnsOf(features, p, (x - cx) / radius, (y - cy) / radius);
        for (let i = 0; i < n; i++) {
          const c = columns[i] * weight;
          if (c === 0) continue;
          const from = i * channels;
          for (let k = 0; k < channels; k += 3) {
            out[to + k] += c * right[from + k];
            out[to + k + 1] += c * right[from + k + 1];
            out[to + k + 2] += c * right[from + k + 2];
          }
        }
      }
  }

  private columnsOf(features: Float32Array, place: number, x: number, y: number): void {
    const { columns } = this;
    const at = place * FEATURES;
    let i = 0;
    if (this.metal) {
      const metal = features[at + METAL];
      columns[0] = metal;
      columns[1] = metal * x;
      columns[2] = metal * y;
      for (i = 3; i < METAL_COLUMNS; i++) columns[i] = features[at + i];
    }
    if (this.ground) {
      const ground = features[at + GROUND];
      columns[i] = ground;
      columns[i + 1] = ground * x;
      columns[i + 2] = ground * y;
      columns[i + 3] = ground * x * x;
      columns[i + 4] = ground * x * y;
      columns[i + 5] = ground * y * y;
    }
  }
}

/** Solves a symmetric positive definite system in place (Cholesky); `right` has `channels` values a row. */
function solve(matrix: Float64Array, right: Float64Array, n: number, channels: number): void {
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i * n + j];
      for (let k = 0; k < j; k++) sum -= matrix[i * n + k] * matrix[j * n + k];
      // held up by NOISE: what rounding leaves below it is no pivot
      matrix[i * n + j] = i === j ? Math.sqrt(Math.max(sum, 1e-12)) : sum / matrix[j * n + j];
    }
  }
  for (let c = 0; c < channels; c++) {
    for (let i = 0; i < n; i++) {
      let sum = right[i * channels + c];
      for (let k = 0; k < i; k++) sum -= matrix[i * n + k] * right[k * channels + c];
      right[i * channels + c] = sum / matrix[i * n + i];
    }
    for (let i = n - 1; i >= 0; i--) {
      let sum = right[i * channels + c];
      for (let k = i + 1; k < n; k++) sum -= matrix[k * n + i] * right[k * channels + c];
      right[i * channels + c] = sum / matrix[i * n + i];
    }
  }
}
