/**
 * The windows of the film filter, row by row: what they need of a take goes into the memory of a WebAssembly module
 * (kernel/filter.ts), and what their fits say of pixels comes out. The module holds one row of windows, so that it takes a
 * few megabytes whatever the film.
 */
import type { FilterGuide } from './film-guide.ts';
import * as at from './kernel/filter-layout.ts';
import { FEATURES } from './kernel/layout.ts';

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
/** Half a window must be at least so many cells wide. */
const LEAST_CELLS = 8;
const PAGE = 65536;

export type Pause = () => Promise<void>;

/** Values that windows are fitted to, `channels` a pixel: a multiple of four. */
export interface Values {
  channels: number;
  data: Float32Array;
}

/** Room for `wanted` values a pixel. */
export const valuesFor = (pixels: number, wanted: number): Values => {
  const channels = Math.ceil(wanted / 4) * 4;
  return { channels, data: new Float32Array(pixels * channels) };
};

/** 1 where a pixel shows no stone. */
export function filterable({ features, width, height }: FilterGuide): Uint8Array {
  const open = new Uint8Array(width * height);
  for (let p = 0; p < open.length; p++) open[p] = features[p * FEATURES + STONE] > 0 ? 0 : 1;
  return open;
}

export class WindowFits {
  private readonly guide: FilterGuide;
  private readonly memory: WebAssembly.Memory;
  private readonly fitRow: () => void;
  /** bits of pixels, F_OPEN … */
  private readonly flags: Uint8Array;
  /** by the pixels on a cell's side */
  private readonly seen = new Map<number, SeenCells>();

  /** @param sums the module compiled from kernel/filter.ts (`filter-module.ts`) */
  static async create(guide: FilterGuide, sums: WebAssembly.Module): Promise<WindowFits> {
    const memory = new WebAssembly.Memory({ initial: 16 });
    const { exports } = await WebAssembly.instantiate(sums, { env: { memory } });
    return new WindowFits(guide, memory, exports.fitRow as () => void);
  }

  private constructor(guide: FilterGuide, memory: WebAssembly.Memory, fitRow: () => void) {
    this.guide = guide;
    this.memory = memory;
    this.fitRow = fitRow;
    const { features, spread } = guide;
    this.flags = filterable(guide);
    for (let p = 0; p < this.flags.length; p++) {
      if (this.flags[p] === 0) continue;
      const noisy = spread[3 * p] !== 0 || spread[3 * p + 1] !== 0 || spread[3 * p + 2] !== 0;
      const metal = features[p * FEATURES + METAL] > 0;
      const ground = features[p * FEATURES + GROUND] > 0;
      this.flags[p] =
        at.F_OPEN |
        (noisy ? at.F_NOISY : 0) |
        (metal ? at.F_METAL : 0) |
        (ground ? at.F_GROUND : 0) |
        at.F_ASKED;
    }
  }

  /**
   * Fits all windows of one size and adds each pixel's mean of their fits to `out`, times `wanted` where given: windows
   * where that is nothing are passed over. Where both halves agree throughout a window there is no grain, and its pixels
   * stay as they are.
   */
  async add(values: Values, radius: number, out: Values, pause: Pause, wanted?: Float32Array): Promise<void> {
    const { width, height } = this.guide;
    const side = Math.max(1, radius / LEAST_CELLS);
    const cells = this.cellsOf(values, side);
    const flags = this.flags.slice();
    if (wanted) for (let p = 0; p < flags.length; p++) if (!(wanted[p] > 0)) flags[p] &= ~at.F_ASKED;
    const lay = new RowLayout(this.memory, width, cells.width, side, radius, values.channels);
    for (let cy = 0; cy < height + radius; cy += radius) {
      await pause();
      const top = Math.max(0, cy - radius);
      const bottom = Math.min(height, cy + radius + 1);
      if (!flags.subarray(top * width, bottom * width).some((bits) => bits & at.F_ASKED)) continue;
      const from = top * width;
      const to = bottom * width;
      lay.u8(at.F_FLAGS_AT, flags.subarray(from, to));
      lay.f32(at.F_FEATURES_AT, this.guide.features.subarray(from * FEATURES, to * FEATURES));
      if (wanted) lay.f32(at.F_WANTED_AT, wanted.subarray(from, to));
      else lay.ones(at.F_WANTED_AT, to - from);
      const { channels } = values;
      lay.f32(at.F_VALUES_AT, values.data.subarray(from * channels, to * channels));
      const sums = out.data.subarray(from * channels, to * channels);
      lay.f32(at.F_OUT_AT, sums);
      const cellTop = Math.floor(top / side);
      const cellBottom = Math.min(cells.height, Math.floor((cy + radius) / side) + 1);
      const [first, end] = [cellTop * cells.width, cellBottom * cells.width];
      lay.f32(at.F_WEIGHT_AT, cells.weight.subarray(first, end));
      lay.f32(at.F_CELL_FEATURES_AT, cells.features.subarray(first * FEATURES, end * FEATURES));
      lay.f32(at.F_CELL_VALUES_AT, cells.values.subarray(first * channels, end * channels));
      lay.order(cy, top, bottom - top, cellTop, cellBottom - cellTop, Math.ceil((width + radius) / radius));
      this.fitRow();
      sums.set(lay.read(at.F_OUT_AT, sums.length));
    }
  }

  private cellsOf({ channels, data }: Values, side: number): Cells {
    const seen = this.seenCells(side);
    if (side === 1) return { ...seen, values: data };
    const { width: wide } = this.guide;
    const values = new Float32Array(seen.weight.length * channels);
    for (let p = 0, x = 0, y = 0; p < this.flags.length; p++) {
      if (this.flags[p]) {
        const cell = Math.floor(y / side) * seen.width + Math.floor(x / side);
        const share = 1 / seen.weight[cell];
        for (let k = 0; k < channels; k++) values[cell * channels + k] += share * data[p * channels + k];
      }
      if (++x < wide) continue;
      x = 0;
      y++;
    }
    return { ...seen, values };
  }

  /** The part of cells that is the same whatever windows are fitted to. */
  private seenCells(side: number): SeenCells {
    const known = this.seen.get(side);
    if (known) return known;
    const { features, width: wide, height: high } = this.guide;
    const width = Math.ceil(wide / side);
    const height = Math.ceil(high / side);
    const weight = new Float32Array(width * height);
    const cells = {
      width,
      height,
      weight,
      features: side === 1 ? features : new Float32Array(weight.length * FEATURES),
    };
    for (let p = 0, x = 0, y = 0; p < this.flags.length; p++) {
      if (this.flags[p]) {
        const cell = Math.floor(y / side) * width + Math.floor(x / side);
        weight[cell]++;
        if (side > 1)
          for (let f = 0; f < FEATURES; f++)
            cells.features[cell * FEATURES + f] += features[p * FEATURES + f];
      }
      if (++x < wide) continue;
      x = 0;
      y++;
    }
    if (side > 1)
      for (let i = 0; i < cells.features.length; i++)
        cells.features[i] /= Math.max(1, weight[Math.floor(i / FEATURES)]);
    this.seen.set(side, cells);
    return cells;
  }
}

/** What windows are fitted to: pixels, or for wide windows the means of some. */
interface SeenCells {
  width: number;
  height: number;
  /** pixels that count in each cell */
  weight: Float32Array;
  features: Float32Array;
}

interface Cells extends SeenCells {
  values: Float32Array;
}

/** One row of windows in the module's memory. */
class RowLayout {
  private readonly memory: WebAssembly.Memory;
  private readonly words: Uint32Array;

  constructor(
    memory: WebAssembly.Memory,
    width: number,
    cellsWide: number,
    side: number,
    radius: number,
    channels: number,
  ) {
    this.memory = memory;
    const pixels = width * (2 * radius + 1);
    const cells = cellsWide * (Math.ceil((2 * radius + 1) / side) + 1);
    const parts: [number, number][] = [
      [at.F_FEATURES_AT, pixels * FEATURES * 4],
      [at.F_FLAGS_AT, pixels],
      [at.F_WANTED_AT, pixels * 4],
      [at.F_VALUES_AT, pixels * channels * 4],
      [at.F_OUT_AT, pixels * channels * 4],
      [at.F_WEIGHT_AT, cells * 4],
      [at.F_CELL_FEATURES_AT, cells * FEATURES * 4],
      [at.F_CELL_VALUES_AT, cells * channels * 4],
      [at.F_FALL_AT, radius * 8],
      [at.F_RIGHT_AT, at.F_COLUMNS * channels * 8],
      [at.F_FIT_AT, at.F_COLUMNS * channels * 4],
    ];
    const offsets = new Map<number, number>();
    let end = at.F_HEAP;
    for (const [place, bytes] of parts) {
      offsets.set(place, end);
      end += Math.ceil(bytes / 16) * 16;
    }
    const missing = Math.ceil((end - memory.buffer.byteLength) / PAGE);
    if (missing > 0) memory.grow(missing);
    this.words = new Uint32Array(memory.buffer, 0, at.F_HEAP / 4);
    for (const [place, offset] of offsets) this.words[place / 4] = offset;
    this.words[at.F_WIDTH / 4] = width;
    this.words[at.F_CELLS_WIDE / 4] = cellsWide;
    this.words[at.F_SIDE / 4] = side;
    this.words[at.F_RADIUS / 4] = radius;
    this.words[at.F_CHANNELS / 4] = channels;
    new Float64Array(memory.buffer, at.F_NOISE, NOISE.length).set(NOISE);
    // those of neighbours at `radius` add up to one
    const fall = new Float64Array(memory.buffer, this.words[at.F_FALL_AT / 4], radius);
    for (let d = 0; d < radius; d++) fall[d] = 0.5 + 0.5 * Math.cos((Math.PI * d) / radius);
  }

  order(
    middle: number,
    top: number,
    rows: number,
    cellsTop: number,
    cellsRows: number,
    windows: number,
  ): void {
    this.words[at.F_MIDDLE / 4] = middle;
    this.words[at.F_TOP / 4] = top;
    this.words[at.F_ROWS / 4] = rows;
    this.words[at.F_CELLS_TOP / 4] = cellsTop;
    this.words[at.F_CELLS_ROWS / 4] = cellsRows;
    this.words[at.F_WINDOWS / 4] = windows;
  }

  u8(place: number, data: Uint8Array): void {
    new Uint8Array(this.memory.buffer).set(data, this.words[place / 4]);
  }

  f32(place: number, data: Float32Array): void {
    this.read(place, data.length).set(data);
  }

  ones(place: number, count: number): void {
    this.read(place, count).fill(1);
  }

  read(place: number, count: number): Float32Array {
    return new Float32Array(this.memory.buffer, this.words[place / 4], count);
  }
}
