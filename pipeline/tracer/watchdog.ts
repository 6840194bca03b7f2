/**
 * Tells a take that stands still from one that is slow, and both from a machine that slept. Quiet is measured in what
 * this process and the page themselves lived through: a tick of the watch adds at most one interval, however long ago
 * the last one was, and a page's report adds what the page's own clock moved, at most as much. So neither a jump of a
 * clock nor a suspended machine adds up to a verdict.
 */
export type Liveness = 'fine' | 'ask' | 'stuck';

export interface WatchdogOptions {
  /** ms without any report or progress after which the page is to be asked whether it lives */
  patience: number;
  /** ms of the page's own time without a path after which it is stuck, although it answers */
  limit: number;
  /** ms between ticks */
  every: number;
}

export class Watchdog {
  readonly #options: WatchdogOptions;
  /** ms of this process without a report */
  #silence = 0;
  /** ms of the page without a path */
  #idle = 0;
  #paths = -1;
  #seconds = 0;

  constructor(options: WatchdogOptions) {
    this.#options = options;
  }

  /** A report of the page: its own clock, and the paths traced so far. */
  beat(seconds: number, paths: number): void {
    this.#silence = 0;
    const lived = Math.max(0, (seconds - this.#seconds) * 1000);
    this.#seconds = seconds;
    if (paths > this.#paths) this.#idle = 0;
    else this.#idle += Math.min(lived, this.#options.every);
    this.#paths = Math.max(this.#paths, paths);
  }

  /** Something else that shows the page at work. */
  sign(): void {
    this.#silence = 0;
    this.#idle = 0;
  }

  /** To be called every `every` ms. */
  tick(): Liveness {
    const { every, patience, limit } = this.#options;
    this.#silence += every;
    if (this.#idle >= limit) return 'stuck';
    // before its first report a page loads its scene, which may take long, and has no clock to tell
    if (this.#silence >= limit) return 'stuck';
    return this.#silence >= patience ? 'ask' : 'fine';
  }

  get quietSeconds(): number {
    return Math.round(Math.max(this.#silence, this.#idle) / 1000);
  }
}
