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
  /** of whole solids, a little later; rejected with `Overtaken` when they were given up */
  facts?: Promise<SolidFacts>;
}

/** Solids of so many shapes are kept, and so many drafts: those of a pair in either of two pictures. */
const KEPT = 8;
const KEPT_DRAFTS = 4;
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
  private readonly drafted = new Map<string, Promise<MadeSolids>>();

  /** Starts the threads, so that the first shape need not wait for them. */
  warm(): void {
    this.drafts.start();
    this.wholes.start();
  }

  /** @throws ProblemError with all that keeps the shape from being built */
  async draft(key: string, design: ShapeDesign, limits: LimitSettings): Promise<MadeSolids> {
    const whole = this.kept.get(keyOf(key, limits));
    if (whole && (await settled(whole))) return whole;
    return keptIn(this.drafted, KEPT_DRAFTS, key, () =>
      this.drafts.build({ kind: 'draft', design, limits }, key),
    );
  }

  /** @throws ProblemError likewise, `Overtaken` when `wantOnly` gave it up */
  whole(key: string, design: ShapeDesign, limits: LimitSettings): Promise<MadeSolids> {
    const own = keyOf(key, limits);
    return keptIn(this.kept, KEPT, own, () => this.wholes.build({ kind: 'whole', design, limits }, own));
  }

  /** Gives up solids that are no longer wanted. */
  wantOnly(keys: readonly string[], limits: LimitSettings): void {
    // a draft is done sooner than its thread would be there again
    this.drafts.drop(new Set(keys));
    this.wholes.wantOnly(new Set(keys.map((key) => keyOf(key, limits))));
  }

  async close(): Promise<void> {
    this.kept.clear();
    this.drafted.clear();
    await Promise.all([this.drafts.stop(), this.wholes.stop()]);
  }
}

/** What the bench says of a shape hangs on its limits, too. */
const keyOf = (key: string, limits: LimitSettings) => `${key} ${JSON.stringify(limits)}`;

type Kept = Map<string, Promise<MadeSolids>>;

/** What was asked for before, or is made now; what was given up may be asked for again. */
function keptIn(kept: Kept, most: number, key: string, make: () => Promise<MadeSolids>): Promise<MadeSolids> {
  const made = kept.get(key) ?? make();
  const forget = (error: unknown) => {
    if (!(error instanceof ProblemError) && kept.get(key) === made) kept.delete(key);
  };
  if (!kept.has(key)) made.then(({ facts }) => facts).catch(forget);
  kept.delete(key);
  kept.set(key, made);
  const oldest = kept.keys().next().value;
  if (kept.size > most && oldest !== undefined) kept.delete(oldest);
  return made;
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
  /** of whole solids that are made, until it is told */
  facts?: { resolve(facts: SolidFacts): void; reject(error: Error): void };
}

/** Has no effect on what is resolved already. */
function rejected(job: Job | undefined, error: Error): void {
  job?.reject(error);
  job?.facts?.reject(error);
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

  build(build: Build, key: string): Promise<MadeSolids> {
    return new Promise((resolve, reject) => {
      this.waiting.push({ order: { ...build, id: ++this.count }, key, resolve, reject });
      this.next();
    });
  }

  /** Gives up what waits, but for these. */
  drop(keys: ReadonlySet<string>): void {
    const unwanted = this.waiting.filter(({ key }) => !keys.has(key));
    for (const job of unwanted) {
      this.waiting.splice(this.waiting.indexOf(job), 1);
      job.reject(new Overtaken());
    }
  }

  wantOnly(keys: ReadonlySet<string>): void {
    this.drop(keys);
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
    rejected(job, new Overtaken());
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
    if (answer.kind === 'made' && job.order.kind === 'whole') {
      const facts = new Promise<SolidFacts>((resolve, reject) => {
        job.facts = { resolve, reject };
      });
      job.resolve({ ...answer, facts });
      return;
    }
    this.job = undefined;
    if (answer.kind === 'made') job.resolve(answer);
    else if (answer.kind === 'facts') job.facts?.resolve(answer.facts);
    else if (answer.kind === 'refused') rejected(job, new ProblemError(answer.problems));
    else rejected(job, new Error(answer.why));
    this.next();
  }

  private lost(worker: Worker, error: Error): void {
    if (this.worker !== worker) return;
    this.worker = undefined;
    const { job } = this;
    this.job = undefined;
    rejected(job, error);
    this.next();
  }
}
