/**
 * Works takes off the queue into the store of a shared folder. A take may be made twice, by a worker that was taken for
 * dead: the store is keyed by content, so the second changes nothing, and only the maker publishes.
 */
import { setTimeout as pause } from 'node:timers/promises';
import { DelayedError, type Job as QueueJob, UnrecoverableError, Worker } from 'bullmq';
import { FILM, type TakeWork } from '../artefacts/film.ts';
import { ProblemError } from '../problem.ts';
import { adoptFilms, surveyAdopted } from '../run/film-engines.ts';
import { Job } from '../run/job.ts';
import { fillStore, type MakeOptions } from '../run/make.ts';
import { openWorkplace, type Workplace } from '../run/workplace.ts';
import { ENGINE, type Tracer } from '../tracer/tracer.ts';
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

/** how often what another engine does meanwhile is looked at */
const ROUNDS = 3;

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
  const { lockMs = 30_000, engine = await engineVersion(), report } = options;
  const taker = new Taker(engine, options);
  const ended = new AbortController();
  const worker = new Worker<TakePayload>(QUEUE, (held, token) => taker.make(held, token), {
    prefix: PREFIX,
    connection: lastingConnection(url, ended.signal),
    lockDuration: lockMs,
    stalledInterval: lockMs,
    maxStalledCount: 10,
    // after a queue that was away
    runRetryDelay: RETRY_MS,
  });
  worker.on('error', () => {});
  let lost: unknown;
  try {
    await watchQueue(url, { signal: taker.ends, report });
  } catch (error) {
    if (!taker.ends.aborted) lost = error;
  }
  await close(worker, url, ended, lockMs / 6);
  await taker.close();
  const why = lost ?? taker.refused;
  if (why) throw why;
}

/** Makes what it is handed, one take after the other, with one browser. */
class Taker {
  /** what must be mended on this machine before it works on */
  refused: unknown;
  /** fires with the worker's signal, and when it refuses */
  readonly ends: AbortSignal;
  readonly #stop = new AbortController();
  readonly #engine: string;
  readonly #options: WorkerOptions;
  readonly #foreign: ForeignTakes;
  #open: { hash: string; place: Workplace } | undefined;
  // one for all takes: a browser that is lost is replaced by its session
  #tracer: Promise<Tracer> | undefined;

  constructor(engine: string, options: WorkerOptions) {
    this.#engine = engine;
    this.#options = options;
    this.#foreign = new ForeignTakes(engine, options.report);
    this.ends = AbortSignal.any([options.signal, this.#stop.signal]);
  }

  /** @throws DelayedError for a take that is given back, UnrecoverableError where no other try is of use */
  async make(held: QueueJob<TakePayload>, token?: string): Promise<void> {
    const read = takePayload.safeParse(held.data);
    if (!read.success) throw new UnrecoverableError('the queue held a take of an unknown form');
    const { plan, record, engine } = read.data;
    if (engine !== this.#engine) {
      await this.#foreign.setAside(held, token, this.ends);
      throw new DelayedError();
    }
    this.#foreign.met();
    const place = await this.#placeOf(plan);
    const named = () => place.work.pieces(FILM).find(({ records }) => records[ENGINE] === record);
    if (!named()) throw new UnrecoverableError('its plan has no such take for this code');
    const options = { ...this.#options, openTracer: () => this.#openTracer(), keepTracer: true };
    const job = new Job(place, options);
    try {
      const nothing = async () => {};
      // once more where another engine's films were there first: pictures are made from those
      for (let round = 0, at: TakeWork | undefined; round < ROUNDS && at !== named(); round++) {
        at = named();
        await fillStore(job, await surveyAdopted(place, at), 1, nothing, nothing);
        if (job.failed.size > 0) break;
        await adoptFilms(place, at && [at]);
      }
    } catch (error) {
      if (!this.#options.signal.aborted) {
        if (!(error instanceof ProblemError)) throw error;
        this.refused ??= error;
        this.#stop.abort();
      }
      await held.moveToDelayed(Date.now() + OFFER_AGAIN_MS, token);
      throw new DelayedError();
    }
    const [why] = job.failed.values();
    // it was tried several times here and is in quarantine: no use in another machine trying at once
    if (why !== undefined) throw new UnrecoverableError(why);
  }

  async close(): Promise<void> {
    await (await this.#tracer?.catch(() => undefined))?.close();
  }

  /** The last plan is kept: takes of one catalogue mostly come one after the other. */
  async #placeOf(hash: string): Promise<Workplace> {
    if (this.#open?.hash !== hash) {
      const { out, tracedBy } = this.#options;
      const plan = await takeFromShelf(hash, out);
      if (!plan) throw new Error('its plan is not in the shared folder of this worker (--store)');
      this.#open = { hash, place: await openWorkplace(plan, out, { engine: tracedBy, anyEngine: true }) };
    }
    return this.#open.place;
  }

  #openTracer(): Promise<Tracer> {
    this.#tracer ??= this.#options.openTracer();
    this.#tracer.catch(() => {
      this.#tracer = undefined;
    });
    return this.#tracer;
  }
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
