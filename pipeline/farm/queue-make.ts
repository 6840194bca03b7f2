/** Making with takes traced by workers: fills the queue, follows it, and is the only one that publishes. */
import { setTimeout as pause } from 'node:timers/promises';
import { Queue } from 'bullmq';
import { skusOfTake } from '../artefacts/film.ts';
import type { Plan } from '../plan/plan.ts';
import type { Job } from '../run/job.ts';
import { type MakeOptions, type MakeResult, makeCatalogue } from '../run/make.ts';
import type { Survey } from '../run/survey.ts';
import { ForeignNews } from './foreign-takes.ts';
import { OpenTakes } from './open-takes.ts';
import { PREFIX, QUEUE, type TakePayload } from './payload.ts';
import { shelvePlan } from './plan-shelf.ts';
import { engineVersion, lastingConnection, probeQueue, queueFault, RETRY_MS } from './queue-connection.ts';
import type { QueueUrl } from './queue-url.ts';
import { watchQueue } from './queue-watch.ts';

export interface QueueMakeOptions extends MakeOptions {
  /** ms for which the queue may be away before the run ends; 10 minutes unless given */
  patienceMs?: number;
  /** ms between looks whether it answers; 5 s unless given */
  watchMs?: number;
  /** ms between looks at the takes; 500 unless given */
  lookMs?: number;
  /** hash of the code; this machine's own unless a test says otherwise */
  engine?: string;
}

const PATIENCE_MS = 10 * 60_000;
const LOOK_MS = 500;
/** looks at the takes for one at notes of workers */
const LOOKS_A_NEWS = 10;
/** ms between counts of the workers */
const COUNT_MS = 15_000;

/**
 * @throws ProblemError if the queue does not answer, refuses or fails (`queue-unreachable`, `queue-refused`,
 *   `queue-lost`, `queue-failed`); otherwise as `makeCatalogue`. Whatever workers made until then stays in the store.
 */
export async function makeOnQueue(plan: Plan, url: QueueUrl, options: QueueMakeOptions): Promise<MakeResult> {
  await probeQueue(url);
  const ended = new AbortController();
  const connection = lastingConnection(url, ended.signal);
  const queue = new Queue<TakePayload>(QUEUE, { prefix: PREFIX, connection });
  // the connection comes back by itself; what it says may hold commands with a password
  queue.on('error', () => {});
  try {
    return await makeCatalogue(plan, {
      ...options,
      anyEngine: true,
      elsewhere: {
        lacking: 'no worker could make its take',
        fill: (job, survey) => fill(job, survey, plan, queue, url, options),
      },
    });
  } finally {
    ended.abort();
    await close(queue);
  }
}

/** A server that stands still does not answer a farewell either. */
async function close(queue: Queue): Promise<void> {
  const over = new AbortController();
  const soon = () => pause(2 * RETRY_MS, undefined, { signal: over.signal }).catch(() => {});
  const closed = queue.close().then(() => over.abort());
  await Promise.race([closed, soon()]);
  if (!over.signal.aborted) await Promise.race([queue.disconnect().catch(() => {}), soon()]);
  over.abort();
}

async function fill(
  job: Job,
  survey: Survey,
  plan: Plan,
  queue: Queue<TakePayload>,
  url: QueueUrl,
  { patienceMs = PATIENCE_MS, watchMs, lookMs = LOOK_MS, engine: own }: QueueMakeOptions,
): Promise<void> {
  const engine = own ?? (await engineVersion());
  const { report, out } = job.options;
  const wanted = survey.takes.filter(
    (t) => t.trace && !t.quarantine && skusOfTake(t.work).some((sku) => job.wanted(sku)),
  );
  if (wanted.length === 0) return;
  const payload = { version: 1 as const, plan: await shelvePlan(plan, out), engine };
  const takes = new OpenTakes(queue, payload, wanted);
  const over = new AbortController();
  const signal = AbortSignal.any([job.options.signal, over.signal]);
  const follow = async () => {
    await takes.offer(signal);
    report({ event: 'waiting', message: `${takes.open} takes in the queue at ${url.shown}` });
    countWorkers(queue, report, signal).catch(() => {});
    tellForeign(new ForeignNews(queue, engine), report, lookMs, signal).catch(() => {});
    while (takes.open > 0) {
      for (const { name, skus, take, failed } of await takes.look()) {
        signal.throwIfAborted();
        if (failed === undefined) {
          report({ event: 'waiting', message: `${name}: made; ${takes.open} still open` });
          continue;
        }
        job.fail(skus, failed, true);
        report({ event: 'take-failed', take, skus, reason: failed });
      }
      if (takes.open > 0) await pause(lookMs, undefined, { signal });
    }
  };
  // One race for all of it: commands to a queue that is away wait for ever, and a race for each of them would keep
  // something in memory for each until the run's end.
  const followed = follow().catch(async (error) => {
    throw await queueFault(url, error);
  });
  const watched = watchQueue(url, { signal, report, patienceMs, everyMs: watchMs });
  for (const work of [followed, watched]) work.catch(() => {});
  try {
    await Promise.race([followed, watched, aborted(job.options.signal)]);
  } finally {
    over.abort();
  }
}

/** Says when nobody is there to make takes, and when somebody is again. */
async function countWorkers(
  queue: Queue,
  report: Job['options']['report'],
  signal: AbortSignal,
): Promise<void> {
  let last = 1;
  for (;;) {
    // some hosted servers do not list their clients: then nothing is said
    const count = await queue.getWorkersCount().catch(() => last);
    if ((count === 0) !== (last === 0))
      report({
        event: 'waiting',
        message: count === 0 ? 'no worker is at the queue' : `${count} at the queue: work goes on`,
      });
    last = count;
    await pause(COUNT_MS, undefined, { signal });
  }
}

async function tellForeign(
  news: ForeignNews,
  report: Job['options']['report'],
  lookMs: number,
  signal: AbortSignal,
): Promise<void> {
  for (;;) {
    await pause(LOOKS_A_NEWS * lookMs, undefined, { signal });
    for (const message of await news.look()) report({ event: 'warning', message });
  }
}

function aborted(signal: AbortSignal): Promise<never> {
  return new Promise((_, reject) => {
    const end = () => reject(signal.reason);
    if (signal.aborted) end();
    signal.addEventListener('abort', end, { once: true });
  });
}
