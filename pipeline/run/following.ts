import pLimit from 'p-limit';
import type { Making } from '../artefacts/kind.ts';
import type { NextPiece } from './survey.ts';

/** Makes what follows from a take's stored films, pictures above all, beside the tracer. */
export class Following {
  readonly #making: Making;
  readonly #limit = pLimit(2);
  readonly #running: Promise<void>[] = [];
  #fault: { error: unknown } | undefined;

  constructor(making: Making) {
    this.#making = making;
  }

  /** @throws what an earlier one failed with, so that a full disk is not found out only after the last take */
  begin({ kind, piece }: NextPiece): void {
    if (this.#fault) throw this.#fault.error;
    const run = this.#limit(async () => {
      if (!this.#making.signal.aborted) await kind.make?.(piece, this.#making);
    });
    // it may fail while a take is traced and nobody waits for it
    run.catch((error) => {
      this.#fault ??= { error };
    });
    this.#running.push(run);
  }

  /** Resolves when all that was begun is stored; rejects with the first that failed. */
  async done(): Promise<void> {
    await Promise.all(this.#running);
  }

  /** Resolves when nothing runs any more, whatever came of it. */
  async settled(): Promise<void> {
    await Promise.allSettled(this.#running);
  }
}
