/** Making with takes traced by workers: fills the queue, follows it, and is the only one that publishes. */
import { setTimeout as pause } from 'node:timers/promises';
import { Queue, type Job as QueueJob } from 'bullmq';
import type { Plan } from '../catalogue/plan.ts';
import { artefactKey } from '../publish/content-key.ts';
import type { Job } from '../run/job.ts';
import { type MakeOptions, type MakeResult, makeCatalogue } from '../run/make.ts';
import { type Survey, type TakeStatus, takeName } from '../run/survey.ts';
import { skusOfTake } from '../run/work.ts';
import { PREFIX, QUEUE, type TakePayload } from './payload.ts';
import { shelvePlan } from './plan-shelf.ts';
import { engineVersion, lastingConnection, probeQueue } from './queue-connection.ts';
import type { QueueUrl } from './queue-url.ts';

const LOOK_MS = 500;
/** Times a take is handed out again after a fault that is not the take's own. */
const ATTEMPTS = 4;
const KEEP = { age: 24 * 3600, count: 10_000 };

/** @throws ProblemError if the queue does not answer; otherwise as `makeCatalogue` */
export async function makeOnQueue(plan: Plan, url: QueueUrl, options: MakeOptions): Promise<MakeResult> {
  await probeQueue(url);
  const queue = new Queue<TakePayload>(QUEUE, { prefix: PREFIX, connection: lastingConnection(url) });
  // the connection comes back by itself; what it says may hold commands with a password
  queue.on('error', () => {});
  try {
    return await makeCatalogue(plan, {
      ...options,
      elsewhere: {
        lacking: 'no worker could make its take',
        fill: (job, survey) => fillAndFollow(job, survey, plan, queue, url.shown),
      },
    });
  } finally {
    await Promise.race([queue.close(), pause(1000)]);
    await queue.disconnect().catch(() => {});
  }
}

async function fillAndFollow(
  job: Job,
  survey: Survey,
  plan: Plan,
  queue: Queue<TakePayload>,
  shown: string,
): Promise<void> {
  const { signal, report, out } = job.options;
  const open = new Map<string, TakeStatus>();
  for (const take of survey.takes)
    if (take.trace && !take.quarantine && skusOfTake(take.work).some((sku) => job.wanted(sku)))
      open.set(jobId(take), take);
  if (open.size === 0) return;
  const ended = new Promise<never>((_, reject) =>
    signal.addEventListener('abort', () => reject(signal.reason), { once: true }),
  );
  ended.catch(() => {});
  const now = <T>(work: Promise<T>) => Promise.race([work, ended]);
  const payload = { version: 1 as const, plan: await shelvePlan(plan, out), engine: engineVersion() };
  const add = (id: string, record: string) =>
    queue.add(
      'take',
      { ...payload, record },
      {
        jobId: id,
        attempts: ATTEMPTS,
        backoff: { type: 'exponential', delay: 500 },
        removeOnComplete: KEEP,
        removeOnFail: KEEP,
      },
    );
  for (const [id, take] of open) {
    signal.throwIfAborted();
    const old = await now(queue.getJob(id));
    if (old && ['completed', 'failed'].includes(await now(old.getState()))) await now(old.remove());
    await now(add(id, take.work.record));
  }
  report({ event: 'waiting', message: `${open.size} takes in the queue at ${shown}` });
  while (open.size > 0) {
    signal.throwIfAborted();
    for (const [id, take] of open) {
      const held: QueueJob<TakePayload> | undefined = await now(queue.getJob(id));
      // a queue that was restarted may have forgotten it
      if (!held) await now(add(id, take.work.record));
      const state = held ? await now(held.getState()) : 'waiting';
      if (state !== 'completed' && state !== 'failed') continue;
      open.delete(id);
      if (state === 'failed') {
        const reason = held?.failedReason ?? 'no reason given';
        job.fail(skusOfTake(take.work), reason);
        job.retriable = true;
        report({ event: 'take-failed', take: take.work.take.id, skus: skusOfTake(take.work), reason });
      } else report({ event: 'waiting', message: `${takeName(take.work)}: made; ${open.size} still open` });
    }
    if (open.size > 0) await pause(LOOK_MS, undefined, { signal });
  }
}

/** By content: however many ask for a take, it is in the queue once. */
function jobId({ work }: TakeStatus): string {
  return artefactKey({ record: work.record, pictures: work.pictures.map((p) => p.key) });
}
