/**
 * The windows of the film filter over a band of rows: what they need of a take goes into the memory of a WebAssembly module
 * (kernel/filter.ts), and what their fits say of pixels comes out. It takes 100 to 200 bytes a pixel of the band and of the
 * rows round it that windows reach.
 *
 * What a fit says of a pixel does not depend on the band that the pixel is asked for in.
 */
import type { FilterGuide } from './film-guide.ts';
import * as at from './kernel/filter-layout.ts';
import { FEATURES } from './kernel/layout.ts';

/** Half widths of windows in pixels, whole fractions of the widest; also the distance between their middles. */
export const RADII = [4, 8, 16, 32] as const;
const WIDEST = 32;

/** places of features */
const METAL = 0;
const GROUND = 1;
const STONE = 2;
const LIGHT = 6;

/**
 * What a column may differ by chance between pixels, squared: by so much a pixel each is held towards zero. It keeps fits
 * from following features that hardly change within a window.
 */
const NOISE = Float64Array.from({ length: at.F_COLUMNS }, (_, i) =>
  i < 3 || i >= at.F_METAL_COLUMNS ? 1e-6 : i < LIGHT ? 2e-5 : 1e-4,
);
const PAGE = 65536;

/** Whether a pixel shows no stone. */
export const filterable = ({ features }: FilterGuide, pixel: number) =>
  !(features[pixel * FEATURES + STONE] > 0);

/** Rows of pixels, from and up to. */
export interface Rows {
  from: number;
  to: number;
}

/** The rows that windows over some rows reach. */
export function rowsReached({ from, to }: Rows, height: number): Rows {
  const above = (Math.floor(from / WIDEST) - 1) * WIDEST;
  const below = (Math.ceil(to / WIDEST) + 1) * WIDEST;
  return { from: Math.max(0, above), to: Math.min(height, below) };
}

export class WindowFits {
  private readonly memory: WebAssembly.Memory;
  private readonly fitBand: () => void;
  private width = 0;
  private rows: Rows = { from: 0, to: 0 };
  private reach: Rows = { from: 0, to: 0 };
  private flags = new Uint8Array();
  private words = new Uint32Array();
  private wantedShares = new Float32Array();
  /** values a pixel: as many as were asked for, rounded up to a multiple of four */
  channels = 0;
  /** what windows are fitted to, in the rows of `reachOf`: to be filled by whoever holds a band */
  values = new Float32Array();
  /** sums of what fits say, in the rows that were asked for */
  out = new Float32Array();

  /** @param sums the module compiled from kernel/filter.ts (`filter-module.ts`) */
  static async create(sums: WebAssembly.Module): Promise<WindowFits> {
    const memory = new WebAssembly.Memory({ initial: 16 });
    const { exports } = await WebAssembly.instantiate(sums, { env: { memory } });
    return new WindowFits(memory, exports.fitBand as () => void);
  }

  private constructor(memory: WebAssembly.Memory, fitBand: () => void) {
    this.memory = memory;
    this.fitBand = fitBand;
  }

  /** Makes ready for rows of a film with so many values a pixel. `values` and `out` are then new, and not cleared. */
  hold(guide: FilterGuide, rows: Rows, wanted: number): void {
    const { width, height, features } = guide;
    this.width = width;
    this.rows = rows;
    this.reach = rowsReached(rows, height);
    this.channels = Math.ceil(wanted / 4) * 4;
    this.layOut();
    const { from, to } = this.reach;
    this.f32(at.F_FEATURES_AT, (to - from) * width * FEATURES).set(
      features.subarray(from * width * FEATURES, to * width * FEATURES),
    );
    this.mark(guide);
  }

  /**
   * Fits all windows of one size and adds each pixel's mean of their fits to `out`, times `wanted` where given, a share of
   * every pixel of the film: pixels where that is nothing are passed over. Where both halves agree throughout a window there
   * is no grain, and its pixels stay as they are.
   */
  add(radius: number, wanted?: Float32Array): void {
    const { rows, reach, width, flags, wantedShares } = this;
    if (wanted) wantedShares.set(wanted.subarray(rows.from * width, rows.to * width));
    else wantedShares.fill(1);
    const first = (rows.from - reach.from) * width;
    for (let p = 0; p < wantedShares.length; p++)
      if (flags[first + p] & at.F_OPEN && wantedShares[p] > 0) flags[first + p] |= at.F_ASKED;
      else flags[first + p] &= ~at.F_ASKED;
    this.words[at.F_RADIUS / 4] = radius;
    this.words[at.F_SIDE / 4] = Math.max(1, radius / at.F_MOST_CELLS);
    // those of neighbours add up to one
    const fall = this.f32(at.F_FALL_AT, radius);
    for (let i = 0; i < radius; i++) fall[i] = 0.5 + 0.5 * Math.cos((Math.PI * (i + 0.5)) / radius);
    this.fitBand();
  }

  private mark({ features, spread }: FilterGuide): void {
    const { flags, width } = this;
    for (let i = 0, p = this.reach.from * width; i < flags.length; i++, p++) {
      const f = p * FEATURES;
      if (features[f + STONE] > 0) {
        flags[i] = 0;
        continue;
      }
      const noisy = spread[3 * p] !== 0 || spread[3 * p + 1] !== 0 || spread[3 * p + 2] !== 0;
      flags[i] =
        at.F_OPEN |
        (noisy ? at.F_NOISY : 0) |
        (features[f + METAL] > 0 ? at.F_METAL : 0) |
        (features[f + GROUND] > 0 ? at.F_GROUND : 0);
    }
  }

  /** Gives everything its place in the module's memory, which grows to hold it. */
  private layOut(): void {
    const { width, channels, rows, reach } = this;
    const held = (reach.to - reach.from) * width;
    const asked = (rows.to - rows.from) * width;
    // as many as there are of the narrowest windows
    const across = Math.ceil(width / RADII[0]);
    const blocks = across * Math.ceil((reach.to - reach.from) / RADII[0]);
    const sums = at.F_SUMS_HEAD + at.F_COLUMNS * (at.F_COLUMNS + channels) * 8;
    const fit = at.F_COLUMNS * channels * 4;
    const parts: [number, number][] = [
      [at.F_FEATURES_AT, held * FEATURES * 4],
      [at.F_VALUES_AT, held * channels * 4],
      [at.F_FLAGS_AT, held],
      [at.F_WANTED_AT, asked * 4],
      [at.F_OUT_AT, asked * channels * 4],
      [at.F_FALL_AT, WIDEST * 4],
      [at.F_BLOCK_BITS_AT, blocks],
      [at.F_DONE_AT, 2 * across],
      [at.F_SUMS_AT, 2 * across * sums],
      [at.F_STATES_AT, 2 * (across + 1)],
      [at.F_FITS_AT, 2 * (across + 1) * fit],
      [at.F_CELLS_AT, at.F_MOST_CELLS ** 2 * (2 * at.F_COLUMNS + channels) * 8],
      [at.F_WINDOW_AT, sums],
      [at.F_MOVED_AT, sums],
      [at.F_QUARTERS_AT, 4 * fit],
    ];
    const offsets = new Map<number, number>();
    let end = at.F_HEAP;
    for (const [place, bytes] of parts) {
      offsets.set(place, end);
      end += Math.ceil(bytes / 16) * 16;
    }
    const missing = Math.ceil((end - this.memory.buffer.byteLength) / PAGE);
    if (missing > 0) this.memory.grow(missing);
    this.words = new Uint32Array(this.memory.buffer, 0, at.F_HEAP / 4);
    for (const [place, offset] of offsets) this.words[place / 4] = offset;
    this.words[at.F_WIDTH / 4] = width;
    this.words[at.F_ROWS / 4] = reach.to - reach.from;
    this.words[at.F_FROM / 4] = rows.from - reach.from;
    this.words[at.F_TO / 4] = rows.to - reach.from;
    this.words[at.F_CHANNELS / 4] = channels;
    new Float64Array(this.memory.buffer, at.F_NOISE, NOISE.length).set(NOISE);
    this.flags = new Uint8Array(this.memory.buffer, this.words[at.F_FLAGS_AT / 4], held);
    this.values = this.f32(at.F_VALUES_AT, held * channels);
    this.wantedShares = this.f32(at.F_WANTED_AT, asked);
    this.out = this.f32(at.F_OUT_AT, asked * channels);
  }

  private f32(place: number, count: number): Float32Array<ArrayBuffer> {
    return new Float32Array(this.memory.buffer, this.words[place / 4], count);
  }
}
