import { settles } from './browser-process.ts';

/** Others on the machine make one page slow and not the next, and giving a page up costs a try. */
const LEAST_MS = 10_000;
const MOST_MS = 60_000;
const PATIENCE = 3;

/**
 * How long a page may take to open: 0.1 s on an idle machine. One whose renderer was killed meanwhile never does. Slow
 * machines get three times what the last page took, or three times as long after each that did not open.
 */
export class PageOpens {
  private readonly least: number;
  private ms: number;

  constructor(least = LEAST_MS) {
    this.least = least;
    this.ms = least;
  }

  /** @throws Error if it did not open in time, or what `opening` throws */
  async inTime(opening: Promise<unknown>): Promise<void> {
    const { ms } = this;
    const began = performance.now();
    // one that fails later, when nobody waits any more, ends nothing
    opening.catch(() => {});
    const opened = await settles(opening, ms);
    const next = PATIENCE * (opened ? performance.now() - began : ms);
    this.ms = Math.min(MOST_MS, Math.max(this.least, next));
    if (!opened) throw new Error(`the page did not open within ${ms / 1000} s`);
  }
}
