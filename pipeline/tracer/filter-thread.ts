/** A thread of the film filter: takes bands of the tasks that it is sent until none is left. */
import { parentPort, workerData } from 'node:worker_threads';
import { bandsOf, type FilterTask, filterBand } from './film-filter.ts';
import { WindowFits } from './window-fits.ts';

/** What a thread is sent: a task in shared memory, and the count of the bands that somebody has taken. */
export interface FilterOrder {
  task: FilterTask;
  taken: Int32Array;
}

const fits = WindowFits.create(workerData as WebAssembly.Module);

parentPort?.on('message', async ({ task, taken }: FilterOrder) => {
  const its = await fits;
  for (let band = next(taken); band < bandsOf(task); band = next(taken)) filterBand(task, band, its);
  parentPort?.postMessage('done');
});

const next = (taken: Int32Array) => Atomics.add(taken, 0, 1);
