/**
 * Who filters films: this thread alone where there is little to do, else some threads that take bands from one list. Films
 * are the same bits either way.
 */
import { Worker } from 'node:worker_threads';
import { RELEASED } from '../store/installation.mjs';
import { usableCores } from './cores.ts';
import { bandsOf, type FilterHands, type FilterTask, oneHand } from './film-filter.ts';
import { inShared } from './film-guide.ts';
import { filterModule } from './filter-module.ts';
import type { FilterOrder } from './filter-thread.ts';
import { WindowFits } from './window-fits.ts';

/** Each holds a band, about 40 MB at a width of 1500. */
const MOST = 4;
/** Pixels, times films, that are worth the start of threads: a second or so of work. */
const WORTH = 2e6;

export interface FilterCrew {
  hands: FilterHands;
  /** ends the threads, also in the middle of a task */
  close(): Promise<void>;
}

/** @param pause awaited now and then; what it throws ends the work */
export async function filterCrew(
  pixels: number,
  films: number,
  pause: () => Promise<void> = async () => {},
  threads = Math.min(MOST, usableCores()),
): Promise<FilterCrew> {
  const sums = await filterModule();
  if (threads < 2 || pixels * films < WORTH)
    return { hands: oneHand(await WindowFits.create(sums), pause), close: async () => {} };
  const crew = Array.from({ length: threads }, () => startThread(sums));
  const hands: FilterHands = async (task) => {
    await pause();
    const order = { task: shared(task), taken: new Int32Array(new SharedArrayBuffer(4)) };
    await Promise.all(crew.slice(0, bandsOf(task)).map((thread) => obeyed(thread, order)));
    await pause();
  };
  return {
    hands,
    close: async () => {
      await Promise.all(crew.map(({ worker }) => worker.terminate()));
    },
  };
}

interface Thread {
  worker: Worker;
  /** rejected when it ends */
  ended: Promise<never>;
}

function startThread(sums: WebAssembly.Module): Thread {
  const worker = RELEASED
    ? new Worker(new URL('./filter-thread.js', import.meta.url), { workerData: sums })
    : new Worker(new URL('./filter-thread.ts', import.meta.url), {
        workerData: sums,
        execArgv: ['--import', new URL('../cli/typescript.mjs', import.meta.url).href],
      });
  const ended = new Promise<never>((_, reject) => {
    worker.once('error', reject);
    worker.once('exit', () => reject(new Error('a thread of the film filter ended')));
  });
  // it may end while nobody waits for it
  ended.catch(() => {});
  return { worker, ended };
}

function obeyed({ worker, ended }: Thread, order: FilterOrder): Promise<void> {
  const done = new Promise<void>((resolve) => worker.once('message', () => resolve()));
  worker.postMessage(order);
  return Promise.race([done, ended]);
}

/** The task with all that threads read in memory that they share; what is not yet there is copied. */
function shared(task: FilterTask): FilterTask {
  const { guide, choice, films } = task;
  const { features, mean, spread } = guide;
  return {
    guide: { ...guide, features: inShared(features), mean: inShared(mean), spread: inShared(spread) },
    choice,
    ...(films && { films: { raw: films.raw.map(inShared), filtered: films.filtered } }),
  };
}
