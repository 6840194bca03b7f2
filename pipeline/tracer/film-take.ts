/**
 * One take, pass by pass, to its noise target: the part of the tracer that is the same in the browser's page and
 * in Node. Who does the tracing is a `Crew`.
 *
 * A pass ends before the next begins, so decisions rest on the same figures whatever the number of workers; within
 * a pass units are small, and the wait for the last one is short.
 */
import { type FilmState, tileRect } from './film-state.ts';
import { nextBlock } from './pass.ts';
import type { Pass, PassShare } from './pass-share.ts';
import { closeTiles, filmError } from './stop-rule.ts';
import type { TraceProgress } from './tracer.ts';

export interface Crew {
  workers: number;
  /** has all units of the pass done (or a stop asked for) when it resolves */
  work(pass: Pass): Promise<void>;
}

export interface TakeOptions {
  seed: number;
  noiseTarget: number;
  passCap: number;
  /** ms between progress reports */
  every: number;
  onProgress(progress: TraceProgress): void;
}

/** Throws a RangeError when an option cannot lead to a film. */
export function checkTakeOptions(o: { seed: number; noiseTarget: number; passCap: number }): void {
  if (!Number.isInteger(o.passCap) || o.passCap < 2) {
    throw new RangeError(`passCap: expected a whole number of at least 2 but received ${o.passCap}`);
  }
  if (!(o.noiseTarget >= 0)) {
    throw new RangeError(`noiseTarget: expected a number of at least 0 but received ${o.noiseTarget}`);
  }
  if (!Number.isInteger(o.seed) || o.seed < 0 || o.seed > 0xffffffff) {
    throw new RangeError(`seed: expected an unsigned 32-bit number but received ${o.seed}`);
  }
}

/** Runs until no tile is open or the share is stopped. The film may have samples already. */
export async function traceTake(
  film: FilmState,
  share: PassShare,
  crew: Crew,
  options: TakeOptions,
): Promise<TraceProgress> {
  checkTakeOptions(options);
  const start = performance.now();
  let errors = film.samples[0] > 0 ? filmError(film) : undefined;
  const report = (): TraceProgress => ({
    passes: film.samples.reduce((most, n) => Math.max(most, n), 0),
    open: openShare(film),
    worst: errors?.worst ?? Number.POSITIVE_INFINITY,
    error: errors?.rms ?? Number.POSITIVE_INFINITY,
    paths: film.paths[0] + share.paths,
    seconds: (performance.now() - start) / 1000,
  });
  const timer = setInterval(() => options.onProgress(report()), options.every);
  try {
    while (!share.stopped) {
      const lead = film.open.indexOf(1);
      if (lead < 0) break;
      // All open tiles have the same number of samples: none reopens, and each gets every pass.
      const block = nextBlock(film.samples[lead], options.passCap);
      const units = share.deal(film, crew.workers);
      const pass = { ...block, halfSamples: film.halfSamples[lead], seed: options.seed, units };
      await crew.work(pass);
      if (share.stopped) break;
      film.open.forEach((open, tile) => {
        if (!open) return;
        film.samples[tile] = block.to;
        film.halfSamples[tile] += block.middle - block.from;
      });
      film.paths[0] += share.takePaths();
      errors = filmError(film);
      closeTiles(film, errors.tiles, options.noiseTarget, options.passCap);
    }
  } finally {
    clearInterval(timer);
  }
  return report();
}

/** Share of the pixels that lie in open tiles. */
function openShare(film: FilmState): number {
  let pixels = 0;
  film.open.forEach((open, tile) => {
    const { width, height } = tileRect(film, tile);
    pixels += open * width * height;
  });
  return pixels / (film.width * film.height);
}
