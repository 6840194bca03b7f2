/**
 * Processor time of a take: what the browser's processes use while it runs. Unlike the clock it hardly minds a busy machine.
 * Paths are traced by the page's workers alone, so their threads are told from what a browser does besides.
 */
import { descendants, processorOf, SEES_PROCESSES } from './process-tree.ts';
import type { ProcessorUse } from './tracer.ts';

/** Seconds of processor time used by a browser: by each process, and by the threads of all workers. */
export interface BrowserTimes {
  processes: Map<number, number>;
  workers: number;
}

/** As Chromium names the threads of a page's workers (143, `DedicatedWorker thread`). */
const WORKERS = 'DedicatedWorker';
/** Below so many seconds the kernel's ticks are too coarse for a difference. */
const LEAST = 0.5;

function useOf(root: number): BrowserTimes {
  const use: BrowserTimes = { processes: new Map(), workers: 0 };
  for (const pid of [root, ...descendants(root)]) {
    const used = processorOf(pid, WORKERS);
    if (!used) continue;
    use.processes.set(pid, used.all);
    use.workers += used.threads;
  }
  return use;
}

export class ProcessorMeter {
  readonly #read: () => BrowserTimes | undefined;
  /** when the take began: processes of earlier takes are counted in, and may go */
  readonly #before: BrowserTimes | undefined;
  /** when the first paths were told of: before them the workers pack the scene, and an earlier try's paths are none of theirs */
  #first: { workers: number; paths: number } | undefined;
  #spoilt = false;

  /**
   * @param root the browser's process, where it is known
   * @param read what it looks at, for tests
   */
  constructor(root: number | undefined, read: (root: number) => BrowserTimes = useOf) {
    this.#read = () => (root === undefined || (read === useOf && !SEES_PROCESSES) ? undefined : read(root));
    this.#before = this.#read();
  }

  /** To be told of paths done so far, an earlier try's included. */
  progress(paths: number): void {
    if (this.#first || paths <= 0) return;
    this.#first = { workers: this.#read()?.workers ?? 0, paths };
  }

  /** Another take has used the same processes. */
  spoil(): void {
    this.#spoilt = true;
  }

  /** At the take's end, while its workers live; undefined if it can't be told. */
  use(paths: number): ProcessorUse | undefined {
    const now = this.#read();
    if (!now || !this.#before || this.#spoilt) return undefined;
    let all = 0;
    for (const [pid, used] of now.processes) all += used - (this.#before.processes.get(pid) ?? 0);
    const { workers } = now;
    // a browser that names its threads otherwise
    if (!(workers > 0)) return { perPath: all / paths, setUp: 0 };
    const since = this.#first && { used: workers - this.#first.workers, paths: paths - this.#first.paths };
    const perPath =
      since && since.used > LEAST && since.paths > 0 ? since.used / since.paths : workers / paths;
    return { perPath, setUp: Math.max(0, all - workers) };
  }
}
