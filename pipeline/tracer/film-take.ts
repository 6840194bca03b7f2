/**
 * One take, pass by pass, to its noise target: the part of the tracer that is the same in the browser's page and
 * in Node. Who does the tracing is a `Crew`.
 *
 * A pass ends before the next begins, so decisions rest on the same figures whatever the number of workers; within
 * a pass units are small, and the wait for the last one is short. Where checkpoints are taken a pass is done in
 * stretches of some seconds, so that a long pass need not be done again from its beginning. Stretches decide nothing:
 * tiles are judged when all open ones have had the pass.
 */
import { CheckpointClock } from './checkpoint.ts';
import { type FilmState, tileRect } from './film-state.ts';
import { nextBlock } from './pass.ts';
import type { Pass, PassShare } from './pass-share.ts';
import { closeTiles, filmError } from './stop-rule.ts';
import type { TraceProgress } from './tracer.ts';

/** Part of the time between checkpoints that a stretch lasts. */
const STRETCH = 0.25;

export interface Crew {
  workers: number;
  /** has all units of the pass done (or a stop asked for) when it resolves */
  work(pass: Pass): Promise<void>;
}

export interface TakeOptions {
  seed: number;
  noiseTarget: number;
  passCap: number;
  /** pictures will show the filtered film */
  filtered?: boolean;
  /** ms between progress reports */
  every: number;
  onProgress(progress: TraceProgress): void;
  /** called about every so many seconds while nobody is at work on the film; tracing goes on when it resolves */
  checkpoint?: { every: number; save(): Promise<void> };
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

/** Runs until no tile is open or the share is stopped. The film may have samples already, of part of a pass too. */
export async function traceTake(
  film: FilmState,
  share: PassShare,
  crew: Crew,
  options: TakeOptions,
): Promise<TraceProgress> {
  checkTakeOptions(options);
  const { checkpoint, noiseTarget, passCap, seed, filtered } = options;
  const start = performance.now() - film.seconds[0] * 1000;
  const seconds = () => (performance.now() - start) / 1000;
  const clock = checkpoint && new CheckpointClock(checkpoint.every, performance.now());
  /** samples of whole tiles done in a second, as far as known */
  let pace = Number.POSITIVE_INFINITY;
  let errors = film.samples.every((n) => n > 0) ? filmError(film) : undefined;
  const report = (): TraceProgress => ({
    passes: film.samples.reduce((most, n) => Math.max(most, n), 0),
    open: openShare(film),
    worst: errors?.worst ?? Number.POSITIVE_INFINITY,
    error: errors?.rms ?? Number.POSITIVE_INFINITY,
    paths: film.paths[0] + share.paths,
    seconds: seconds(),
  });
  const timer = setInterval(() => options.onProgress(report()), options.every);
  try {
    while (!share.stopped) {
      const { tiles, samples } = behind(film);
      if (tiles.length === 0) break;
      const block = nextBlock(samples, passCap);
      const wanted = (pace * STRETCH * (checkpoint?.every ?? Infinity)) / (block.to - samples);
      const now = tiles.slice(0, wanted >= 1 ? Math.ceil(wanted) : 1);
      const units = share.deal(film, now, crew.workers);
      const begun = performance.now();
      await crew.work({ ...block, halfSamples: film.halfSamples[now[0]], seed, units, filtered });
      if (share.stopped) break;
      pace = (now.length * (block.to - samples) * 1000) / Math.max(1, performance.now() - begun);
      for (const tile of now) {
        film.samples[tile] = block.to;
        film.halfSamples[tile] += block.middle - block.from;
      }
      film.paths[0] += share.takePaths();
      film.seconds[0] = seconds();
      if (now.length === tiles.length) {
        errors = filmError(film);
        closeTiles(film, errors.tiles, noiseTarget, passCap);
      }
      if (checkpoint && clock?.due(performance.now())) {
        const from = performance.now();
        await checkpoint.save();
        clock.saved(from, performance.now());
      }
    }
  } finally {
    clearInterval(timer);
  }
  return report();
}

/** The open tiles that have fewest samples: none reopens, so they are at one pass, and all others have had it. */
function behind(film: FilmState): { tiles: number[]; samples: number } {
  let samples = Number.POSITIVE_INFINITY;
  film.open.forEach((open, tile) => {
    if (open) samples = Math.min(samples, film.samples[tile]);
  });
  const tiles: number[] = [];
  film.open.forEach((open, tile) => {
    if (open && film.samples[tile] === samples) tiles.push(tile);
  });
  return { tiles, samples };
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
