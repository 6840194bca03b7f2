/** The maker's takes in the queue, until each is made or has failed. */

import type { JobType, Queue } from 'bullmq';
import { skusOfTake, takeName } from '../artefacts/film.ts';
import type { Sku, TakeId } from '../plan/plan.ts';
import type { TakeStatus } from '../run/survey.ts';
import { artefactKey } from '../store/content-key.ts';
import { ENGINE } from '../tracer/tracer.ts';
import type { TakePayload } from './payload.ts';

/** Times a take is handed out again after a fault that is not the take's own. */
const ATTEMPTS = 4;
const KEEP = { age: 24 * 3600, count: 10_000 };
/** Commands sent at once. */
const BATCH = 200;
/**
 * Open takes looked at each time, oldest first: takes are handed out in this order, so that what ends soon is among
 * them, and a plan of a hundred thousand takes does not ask for all of them twice a second.
 */
const LOOKED_AT = 2000;
const UNBEGUN: JobType[] = ['waiting', 'delayed'];

export interface EndedTake {
  name: string;
  take: TakeId;
  skus: Sku[];
  /** why it could not be made */
  failed?: string;
}

export class OpenTakes {
  readonly #queue: Queue<TakePayload>;
  readonly #payload: Omit<TakePayload, 'record'>;
  readonly #open: Map<string, TakeStatus>;

  constructor(queue: Queue<TakePayload>, payload: Omit<TakePayload, 'record'>, takes: readonly TakeStatus[]) {
    this.#queue = queue;
    this.#payload = payload;
    this.#open = new Map(takes.map((take) => [jobId(take), take]));
  }

  get open(): number {
    return this.#open.size;
  }

  /** Puts all into the queue. What ended there in an earlier run is offered anew; what is at hand stays so. */
  async offer(signal: AbortSignal): Promise<void> {
    await this.#withdrawOthers(signal);
    await inBatches([...this.#open.keys()], signal, async (id) => {
      const state = await this.#queue.getJobState(id);
      if (state === 'completed' || state === 'failed') await this.#queue.remove(id);
      await this.#add(id);
    });
  }

  /** @returns those that ended since the last look */
  async look(): Promise<EndedTake[]> {
    const ended: EndedTake[] = [];
    const ids = [...this.#open.keys()].slice(0, LOOKED_AT);
    await inBatches(ids, undefined, async (id) => {
      const state = await this.#queue.getJobState(id);
      // a queue that was restarted may have forgotten it
      if (state === 'unknown') await this.#add(id);
      if (state !== 'completed' && state !== 'failed') return;
      const status = this.#open.get(id);
      if (!status) return;
      const { work } = status;
      const failed = state === 'failed' ? await this.#whyFailed(id) : undefined;
      this.#open.delete(id);
      ended.push({ name: takeName(work), take: work.take.id, skus: skusOfTake(work), failed });
    });
    return ended;
  }

  async #whyFailed(id: string): Promise<string> {
    const reason = (await this.#queue.getJob(id))?.failedReason ?? 'no reason given';
    return /stalled/.test(reason)
      ? 'every worker that had its take went silent: they may lack memory'
      : reason;
  }

  /**
   * Takes that a maker of another version left, killed before its end: nobody waits for them, and each would turn away
   * every worker of this version.
   */
  async #withdrawOthers(signal: AbortSignal): Promise<void> {
    for (const state of UNBEGUN) {
      const others: string[] = [];
      for (let at = 0; ; at += BATCH) {
        signal.throwIfAborted();
        const jobs = await this.#queue.getJobs([state], at, at + BATCH - 1);
        for (const job of jobs) if (job?.id && job.data.engine !== this.#payload.engine) others.push(job.id);
        if (jobs.length === 0) break;
      }
      // one that a worker has begun in the meantime is locked and stays
      await inBatches(others, signal, (id) => this.#queue.remove(id));
    }
  }

  #add(id: string): Promise<unknown> {
    const status = this.#open.get(id);
    if (!status) return Promise.resolve();
    return this.#queue.add(
      'take',
      { ...this.#payload, record: status.work.records[ENGINE] },
      {
        jobId: id,
        attempts: ATTEMPTS,
        backoff: { type: 'exponential', delay: 500 },
        removeOnComplete: KEEP,
        removeOnFail: KEEP,
      },
    );
  }
}

async function inBatches(
  ids: readonly string[],
  signal: AbortSignal | undefined,
  act: (id: string) => Promise<unknown>,
): Promise<void> {
  for (let at = 0; at < ids.length; at += BATCH) {
    signal?.throwIfAborted();
    await Promise.all(ids.slice(at, at + BATCH).map(act));
  }
}

/** By content: however many ask for a take, it is in the queue once. */
function jobId({ work, next }: TakeStatus): string {
  const made = next.flatMap(({ kind, piece }) => kind.uses?.(piece) ?? []);
  return artefactKey({ record: work.records[ENGINE], made });
}
