import { setTimeout as pause } from 'node:timers/promises';
import { ProblemError } from '../problem.ts';
import { TracerLost } from '../tracer/tracer-lost.ts';

/** Work is tried this often before it counts as failed. */
export const ATTEMPTS = 3;

export interface RetryOptions {
  signal: AbortSignal;
  /** ms before the second attempt; four times as long before each further one */
  backoffMs: number;
  /** a browser ran before, so that one that does not start now may do so later */
  hadBrowser: () => boolean;
  onRetry: (attempt: number, reason: string) => void;
}

/** It failed every time. */
export class GaveUp extends Error {
  readonly attempts: number;

  constructor(reason: string, attempts: number) {
    super(reason);
    this.attempts = attempts;
  }
}

/**
 * Tries again, after a while, whatever failed. `relief` counts how often memory ran short: as many times should the
 * work's memory be halved.
 * @throws GaveUp, ProblemError (what the user must mend), AbortError
 */
export async function withRetries<T>(
  work: (relief: number) => Promise<T>,
  { signal, backoffMs, hadBrowser, onRetry }: RetryOptions,
): Promise<T> {
  let relief = 0;
  for (let attempt = 1; ; attempt++) {
    try {
      return await work(relief);
    } catch (error) {
      if (signal.aborted) throw error;
      const noBrowser = error instanceof ProblemError && error.problems[0]?.code === 'no-browser';
      const mayPass = !(error instanceof ProblemError) || (noBrowser && hadBrowser());
      if (!mayPass || (noBrowser && attempt >= ATTEMPTS)) throw error;
      const reason = error instanceof Error ? error.message : String(error);
      if (attempt >= ATTEMPTS) throw new GaveUp(reason, attempt);
      if (error instanceof TracerLost && error.wantsMemory) relief++;
      onRetry(attempt + 1, reason);
      await pause(backoffMs * 4 ** (attempt - 1), undefined, { signal });
    }
  }
}
