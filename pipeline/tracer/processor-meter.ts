/** Processor time of a take: what the browser's processes use while it runs. Unlike the clock it hardly minds a busy machine. */
import { descendants, processorOf, SEES_PROCESSES } from './process-tree.ts';
import type { ProcessorUse } from './tracer.ts';

/** What it looks at, for tests: seconds used so far, by process. */
export type ReadProcessors = (root: number) => Map<number, number>;

const ofProcesses: ReadProcessors = (root) =>
  new Map(
    [root, ...descendants(root)].flatMap((pid) => {
      const used = processorOf(pid);
      return used === undefined ? [] : [[pid, used] as const];
    }),
  );

export class ProcessorMeter {
  readonly #root: number | undefined;
  readonly #read: ReadProcessors;
  /** by process, when the take began: pages of earlier takes are counted in, and may go */
  readonly #before: Map<number, number>;
  /** when the first paths were told of */
  #first: { used: number; paths: number } | undefined;
  #spoilt = false;

  /** `root`: the browser's process, where it is known */
  constructor(root: number | undefined, read: ReadProcessors = ofProcesses) {
    this.#root = SEES_PROCESSES || read !== ofProcesses ? root : undefined;
    this.#read = read;
    this.#before = this.#root === undefined ? new Map() : read(this.#root);
  }

  /** To be told of paths done so far, an earlier try's included. */
  progress(paths: number): void {
    if (!this.#first && paths > 0) this.#first = { used: this.#used(), paths };
  }

  /** Another take has used the same processes. */
  spoil(): void {
    this.#spoilt = true;
  }

  /** At the take's end, while its processes live; undefined if it can't be told. */
  use(paths: number): ProcessorUse | undefined {
    if (this.#root === undefined || this.#spoilt) return undefined;
    const used = this.#used();
    const first = this.#first;
    // a take so short that it was over by the first report
    if (!first || paths - first.paths < paths / 4) return { perPath: used / paths, setUp: 0 };
    const perPath = (used - first.used) / (paths - first.paths);
    return { perPath, setUp: Math.max(0, first.used - perPath * first.paths) };
  }

  #used(): number {
    if (this.#root === undefined) return 0;
    let sum = 0;
    for (const [pid, used] of this.#read(this.#root)) sum += used - (this.#before.get(pid) ?? 0);
    return sum;
  }
}
