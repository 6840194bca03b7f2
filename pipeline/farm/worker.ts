/**
 * Works takes off the queue into the store of a shared folder. A take may be made twice, by a worker that was taken for
 * dead: the store is keyed by content, so the second changes nothing, and only the maker publishes.
 */
import { setTimeout as pause } from 'node:timers/promises';
import { DelayedError, type Job as QueueJob, UnrecoverableError, Worker } from 'bullmq';
import { ProblemError } from '../problem.ts';
import { Job } from '../run/job.ts';
import { fillStore, type MakeOptions } from '../run/make.ts';
import { surveyWork } from '../run/survey.ts';
import { openWorkplace, type Workplace } from '../run/workplace.ts';
import type { Tracer } from '../tracer/tracer.ts';
import { ForeignTakes } from './foreign-takes.ts';
import { PREFIX, QUEUE, type TakePayload, takePayload } from './payload.ts';
import { takeFromShelf } from './plan-shelf.ts';
import { engineVersion, lastingConnection, probeQueue, RETRY_MS } from './queue-connection.ts';
import type { QueueUrl } from './queue-url.ts';
import { watchQueue } from './queue-watch.ts';

export interface WorkerOptions extends Omit<MakeOptions, 'only' | 'elsewhere' | 'wait' | 'retry'> {
  /** ms after which a worker that says nothing is dead and its take is given to another; 30 s unless given */
  lockMs?: number;
  /** hash of the code; this machine's own unless a test says otherwise */
  engine?: string;
}

/** ms before a take that this worker must refuse is offered again */
const OFFER_AGAIN_MS = 1000;

/**
 * Works until the signal fires; a take at hand is finished first or given back. A queue that goes away is waited for.
 * Takes of other code are set aside for workers that have it.
 * @throws ProblemError if the queue does not answer at first or refuses user or password; also for what must be mended on
 *   this machine, such as a missing browser or a full disk: the take is given back for others, since a worker that fails
 *   at once would use up the attempts of all takes
 */
export async function workTakes(url: QueueUrl, options: WorkerOptions): Promise<void> {
  await probeQueue(url);
  const { lockMs = 30_000, engine = await engineVersion(), signal, report } = options;
  let refused: unknown;
  const stop = new AbortController();
  const ends = AbortSignal.any([signal, stop.signal]);
  const foreign = new ForeignTakes(engine, report);
  let open: { hash: string; place: Workplace } | undefined;
  // one for all takes: a browser that is lost is replaced by its session
  let tracer: Promise<Tracer> | undefined;
  const openTracer = () => {
    tracer ??= options.openTracer();
    tracer.catch(() => {
      tracer = undefined;
    });
    return tracer;
  };

  const makeTake = async (held: QueueJob<TakePayload>, token?: string) => {
    const giveBack = async () => {
      await held.moveToDelayed(Date.now() + OFFER_AGAIN_MS, token);
      throw new DelayedError();
    };
    const refuse = (problem: ProblemError) => {
      refused ??= problem;
      stop.abort();
      return giveBack();
    };
    const read = takePayload.safeParse(held.data);
    if (!read.success) throw new UnrecoverableError('the queue held a take of an unknown form');
    const { plan: hash, record } = read.data;
    if (read.data.engine !== engine) {
      await foreign.setAside(held, token, ends);
      throw new DelayedError();
    }
    foreign.met();
    if (open?.hash !== hash) {
      const plan = await takeFromShelf(hash, options.out);
      if (!plan) throw new Error('its plan is not in the shared folder of this worker (--store)');
      open = { hash, place: await openWorkplace(plan, options.out) };
    }
    const { place } = open;
    const survey = await surveyWork(place.work, place.store, place.last, record);
    if (survey.takes.length === 0) throw new UnrecoverableError('its plan has no such take for this code');
    const job = new Job(place, { ...options, openTracer, keepTracer: true });
    try {
      const nothing = async () => {};
      await fillStore(job, survey, 1, nothing, nothing);
    } catch (error) {
      if (signal.aborted) return giveBack();
      if (error instanceof ProblemError) return refuse(error);
      throw error;
    }
    const [why] = job.failed.values();
    // it was tried several times here and is in quarantine: no use in another machine trying at once
    if (why !== undefined) throw new UnrecoverableError(why);
  };

  const ended = new AbortController();
  const worker = new Worker<TakePayload>(QUEUE, makeTake, {
    prefix: PREFIX,
    connection: lastingConnection(url, ended.signal),
    lockDuration: lockMs,
    stalledInterval: lockMs,
    maxStalledCount: 10,
    // after a queue that was away
    runRetryDelay: RETRY_MS,
  });
  worker.on('error', () => {});
  try {
    await watchQueue(url, { signal: ends, report });
  } catch (error) {
    if (!ends.aborted) refused = error;
  }
  await close(worker, url, ended, lockMs / 6);
  await (await tracer?.catch(() => undefined))?.close();
  if (refused) throw refused;
}

/** Waits for what is at hand, but not for a queue that is away: it gives the take to another when it is back. */
async function close(worker: Worker, url: QueueUrl, ended: AbortController, lookMs: number): Promise<void> {
  const answers = () =>
    probeQueue(url).then(
      () => true,
      () => false,
    );
  // a client that is between two tries would not hear that it should end: it is let come to its next try first
  const letGo = async () => {
    ended.abort();
    await pause(1.5 * RETRY_MS);
  };
  if (!(await answers())) await letGo();
  const closed = worker.close().then(() => true);
  for (let away = 0; away < 3 && !(await Promise.race([closed, pause(lookMs, false)])); ) {
    if (await answers()) continue;
    away++;
    await letGo();
    // a server that stands still keeps its connections
    await Promise.race([worker.disconnect().catch(() => {}), pause(RETRY_MS)]);
  }
}
