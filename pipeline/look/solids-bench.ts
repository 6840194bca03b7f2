import { Worker } from 'node:worker_threads';
import type { SolidFacts } from '../facts/solid-facts.ts';
import type { ShapeDesign } from '../plan/design.ts';
import { ProblemError } from '../problem.ts';
import { RELEASED } from '../store/installation.mjs';
import type { LimitSettings } from '../trade/bench-limits.ts';
import type { SolidsAnswer, SolidsOrder } from './solids-orders.ts';

export interface MadeSolids {
  /** see `solids-blob.ts` */
  blob: Uint8Array;
  /** false for a draft from which cutting has still to come */
  whole: boolean;
  /** of whole solids */
  facts?: SolidFacts;
}

/** Solids of so many shapes are kept, drafts not counted. */
const KEPT = 8;
/** ms that a build which nobody wants any more may go on, before its thread is ended: it may be worth keeping. */
const GRACE = 300;

/** A build was given up because a newer edit has overtaken it. */
export class Overtaken extends Error {}

/**
 * Builds shapes in two threads: drafts in one, which is never kept waiting, true solids in the other, the newest
 * first. What is asked for twice is built once.
 */
export class SolidsBench {
  private readonly drafts = new Thread();
  private readonly wholes = new Thread();
  private readonly kept = new Map<string, Promise<MadeSolids>>();

  /** Starts the threads, so that the first shape need not wait for them. */
  warm(): void {
    this.drafts.start();
    this.wholes.start();
  }

  /** @throws ProblemError with all that keeps the shape from being built */
  async draft(key: string, design: ShapeDesign, limits: LimitSettings): Promise<MadeSolids> {
    const whole = this.kept.get(key);
    if (whole && (await settled(whole))) return whole;
    return this.drafts.build({ kind: 'draft', design, limits });
  }

  /** @throws ProblemError likewise, `Overtaken` when `forget` gave it up */
  whole(key: string, design: ShapeDesign, limits: LimitSettings): Promise<MadeSolids> {
    const before = this.kept.get(key);
    if (before) {
      this.kept.delete(key);
      this.kept.set(key, before);
      return before;
    }
    const made = this.wholes.build({ kind: 'whole', design, limits }, key);
    this.kept.set(key, made);
    made.catch((error) => {
      if (!(error instanceof ProblemError) && this.kept.get(key) === made) this.kept.delete(key);
    });
    const oldest = this.kept.keys().next().value;
    if (this.kept.size > KEPT && oldest !== undefined) this.kept.delete(oldest);
    return made;
  }

  /** Gives up true solids that are no longer wanted. */
  wantOnly(keys: ReadonlySet<string>): void {
    this.wholes.wantOnly(keys);
  }

  async close(): Promise<void> {
    this.kept.clear();
    await Promise.all([this.drafts.stop(), this.wholes.stop()]);
  }
}

/** Whether a promise is fulfilled already. */
async function settled(promise: Promise<unknown>): Promise<boolean> {
  const waiting = {};
  return (await Promise.race([promise.catch(() => waiting), Promise.resolve(waiting)])) !== waiting;
}

type Build = Omit<SolidsOrder, 'id'>;

interface Job {
  order: SolidsOrder;
  key: string;
  resolve(made: MadeSolids): void;
  reject(error: Error): void;
}

/** One thread with one build at a time; the newest that waits comes next. */
class Thread {
  private worker: Worker | undefined;
  private job: Job | undefined;
  private readonly waiting: Job[] = [];
  private count = 0;
  private ending: NodeJS.Timeout | undefined;

  start(): Worker {
    if (this.worker) return this.worker;
    const worker = RELEASED
      ? new Worker(new URL('./solids-thread.js', import.meta.url))
      : new Worker(new URL('./solids-thread.ts', import.meta.url), {
          execArgv: ['--import', new URL('../cli/typescript.mjs', import.meta.url).href],
        });
    worker.on('message', (answer: SolidsAnswer) => this.hear(answer));
    worker.on('error', (error) => this.lost(worker, error));
    worker.on('exit', () => this.lost(worker, new Error('the thread that builds solids ended')));
    worker.unref();
    this.worker = worker;
    return worker;
  }

  build(build: Build, key = ''): Promise<MadeSolids> {
    return new Promise((resolve, reject) => {
      this.waiting.push({ order: { ...build, id: ++this.count }, key, resolve, reject });
      this.next();
    });
  }

  wantOnly(keys: ReadonlySet<string>): void {
    const unwanted = this.waiting.filter(({ key }) => !keys.has(key));
    for (const job of unwanted) {
      this.waiting.splice(this.waiting.indexOf(job), 1);
      job.reject(new Overtaken());
    }
    const { job } = this;
    clearTimeout(this.ending);
    if (!job || keys.has(job.key)) return;
    this.ending = setTimeout(() => {
      if (this.job === job) this.stop().then(() => this.next());
    }, GRACE);
    this.ending.unref();
  }

  async stop(): Promise<void> {
    clearTimeout(this.ending);
    const { worker, job } = this;
    this.worker = undefined;
    this.job = undefined;
    job?.reject(new Overtaken());
    await worker?.terminate();
  }

  private next(): void {
    if (this.job || this.waiting.length === 0) return;
    this.job = this.waiting.pop();
    this.start().postMessage(this.job?.order);
  }

  private hear(answer: SolidsAnswer): void {
    const { job } = this;
    if (answer.id !== job?.order.id) return;
    this.job = undefined;
    if (answer.kind === 'made') job.resolve(answer);
    else if (answer.kind === 'refused') job.reject(new ProblemError(answer.problems));
    else job.reject(new Error(answer.why));
    this.next();
  }

  private lost(worker: Worker, error: Error): void {
    if (this.worker !== worker) return;
    this.worker = undefined;
    const { job } = this;
    this.job = undefined;
    job?.reject(error);
    this.next();
  }
}
