/**
 * How a pass is shared out among workers without messages: tiles lie as a list of units in shared memory,
 * and every worker takes the next one by an atomic count until none is left. Which worker gets which unit changes
 * from run to run; the bits of the film don't, since no pixel depends on the unit it was traced in.
 */
import { addBlock, measureRows, noteSeen } from './film-error.ts';
import { type FilmState, TILE, tileRect } from './film-state.ts';
import type { EVEN_PIXELS, ODD_PIXELS } from './kernel/layout.ts';
import type { Block } from './pass.ts';

/** All pixels, or every second one as on a chequerboard. */
export type Pixels = 0 | typeof EVEN_PIXELS | typeof ODD_PIXELS;

/** The part of `KernelHost` that passes need. */
export interface Kernel {
  /** overwrites `rgb` with sums over samples [from, to): colourway, row, column, RGB; returns the paths traced */
  render(
    x: number,
    y: number,
    w: number,
    h: number,
    from: number,
    to: number,
    seed: number,
    rgb: Float32Array,
    pixels?: Pixels,
  ): number;
  /** for films that will be filtered; see `KernelHost` */
  features?(x: number, y: number, w: number, h: number, seed: number): Float32Array;
}

/** One pass over open tiles. `halfSamples` is how many samples half A has before it. */
export interface Pass extends Block {
  halfSamples: number;
  seed: number;
  units: number;
  /** pictures will show the filtered film: what it smooths is judged so */
  filtered?: boolean;
  /** the film is only looked at: nobody asks for its error */
  sketch?: boolean;
  /** of a sketch: every second pixel alone */
  pixels?: Pixels;
}

/** Units per worker that even out the end of a pass, when tiles are of unlike cost. */
const UNITS_PER_WORKER = 8;
const LEAST_ROWS = 2;

const NEXT = 0;
const STOP = 1;
const PATHS = 2;

/** Shared by everybody at work on one take. */
export class PassShare {
  readonly buffer: SharedArrayBuffer;
  protected readonly counts: Int32Array;
  /** tile, first row, last row + 1 */
  protected readonly list: Uint32Array;

  constructor(film: FilmState, buffer?: SharedArrayBuffer) {
    const most = film.samples.length * (TILE / LEAST_ROWS);
    this.buffer = buffer ?? new SharedArrayBuffer(16 + most * 12);
    this.counts = new Int32Array(this.buffer, 0, 4);
    this.list = new Uint32Array(this.buffer, 16, most * 3);
  }

  /** Lists these tiles, in bands of rows when there are few; returns the number of units. */
  deal(film: FilmState, tiles: readonly number[], workers: number): number {
    let rows = TILE;
    while (rows > LEAST_ROWS && tiles.length * (TILE / rows) < workers * UNITS_PER_WORKER) rows /= 2;
    let units = 0;
    for (const tile of tiles) {
      const { height } = tileRect(film, tile);
      for (let y = 0; y < height; y += rows) {
        this.list.set([tile, y, Math.min(y + rows, height)], units * 3);
        units++;
      }
    }
    Atomics.store(this.counts, NEXT, 0);
    return units;
  }

  /** Paths of the pass under way; a pass has less than 2³² of them. */
  get paths(): number {
    return Atomics.load(this.counts, PATHS) >>> 0;
  }

  /** The same, and starts the count anew: for when a pass is over and its paths are on the film's account. */
  takePaths(): number {
    return Atomics.exchange(this.counts, PATHS, 0) >>> 0;
  }

  /** Makes everybody come to rest after the unit at hand. */
  stop(): void {
    Atomics.store(this.counts, STOP, 1);
  }

  get stopped(): boolean {
    return Atomics.load(this.counts, STOP) === 1;
  }

  /** Does units until none is left. `scratch` holds two tiles in all colourways. */
  work(film: FilmState, kernel: Kernel, pass: Pass, scratch: Float32Array): void {
    while (this.workOne(film, kernel, pass, scratch)) {}
  }

  /** Does one unit; false when there was none left. */
  workOne(film: FilmState, kernel: Kernel, pass: Pass, scratch: Float32Array): boolean {
    const unit = this.stopped ? pass.units : Atomics.add(this.counts, NEXT, 1);
    if (unit >= pass.units) return false;
    const [tile, y0, y1] = this.list.subarray(unit * 3, unit * 3 + 3);
    const r = tileRect(film, tile);
    const h = y1 - y0;
    const size = r.width * h * 3 * film.colourways;
    const a = scratch.subarray(0, size);
    const b = scratch.subarray(size, 2 * size);
    const { from, middle, to, seed } = pass;
    let paths = kernel.render(r.x, r.y + y0, r.width, h, from, middle, seed, a, pass.pixels);
    if (to > middle) paths += kernel.render(r.x, r.y + y0, r.width, h, middle, to, seed, b);
    if (pass.filtered && from === 0 && kernel.features)
      noteSeen(film, r.x, r.y + y0, r.width, kernel.features(r.x, r.y + y0, r.width, h, seed));
    addBlock(film, tile, y0, y1, a, to > middle ? b : undefined, !pass.sketch);
    const nA = pass.halfSamples + middle - from;
    if (!pass.sketch) measureRows(film, tile, y0, y1, nA, to - nA);
    Atomics.add(this.counts, PATHS, paths);
    return true;
  }
}

export const scratchFor = (film: FilmState) => new Float32Array(2 * TILE * TILE * 3 * film.colourways);
