/**
 * Takes of other code than a worker's. They are set aside for workers that have that code, and the worker goes on: one
 * such take in the queue must not end all workers, one after the other.
 */
import { setTimeout as pause } from 'node:timers/promises';
import type { Queue, Job as QueueJob } from 'bullmq';
import type { Report } from '../artefacts/events.ts';
import type { TakePayload } from './payload.ts';

/** A worker's note on a take: the code of who could not make it. */
interface RefusedNote {
  refusedBy: string;
}

/** ms for which a take is set aside */
const ASIDE_MS = 1000;
/** ms for which a worker rests that meets nothing else; doubled each time up to the most */
const REST = { first: 500, most: 4000 };
/** Takes that the maker looks at for notes each time. */
const LOOKED_AT = 50;

const short = (engine: string) => engine.slice(0, 12);

/** A worker's side. */
export class ForeignTakes {
  readonly #engine: string;
  readonly #report: Report;
  readonly #told = new Set<string>();
  /** refused one after the other, with none of its own between */
  #inARow = 0;

  constructor(engine: string, report: Report) {
    this.#engine = engine;
    this.#report = report;
  }

  /** A take of its own code came. */
  met(): void {
    this.#inARow = 0;
  }

  /**
   * Gives the take back and says so, here and to its maker. A worker that meets nothing but such takes rests between
   * them: it would hold them away from workers that are busy now and can make them.
   */
  async setAside(held: QueueJob<TakePayload>, token: string | undefined, signal: AbortSignal): Promise<void> {
    const { engine } = held.data;
    const note: RefusedNote = { refusedBy: this.#engine };
    await held.updateProgress(note);
    await held.moveToDelayed(Date.now() + ASIDE_MS, token);
    if (!this.#told.has(engine))
      this.#report({
        event: 'warning',
        message:
          `a take of another version (engine ${short(engine)}, here ${short(this.#engine)}) was set aside for other workers: ` +
          'install the same version on maker and workers',
      });
    this.#told.add(engine);
    if (this.#inARow++ > 0)
      await pause(Math.min(REST.most, REST.first * 2 ** (this.#inARow - 2)), undefined, { signal }).catch(
        () => {},
      );
  }
}

/** The maker's side: what of other versions is at its queue, each told of once. */
export class ForeignNews {
  readonly #queue: Queue<TakePayload>;
  readonly #engine: string;
  readonly #told = new Set<string>();

  constructor(queue: Queue<TakePayload>, engine: string) {
    this.#queue = queue;
    this.#engine = engine;
  }

  /** @returns what is new since the last look */
  async look(): Promise<string[]> {
    const jobs = await this.#queue.getJobs(['delayed', 'waiting'], 0, LOOKED_AT - 1);
    const news = jobs.flatMap((job) => (job ? this.#newsOf(job) : []));
    const fresh = [...new Set(news)].filter((message) => !this.#told.has(message));
    for (const message of fresh) this.#told.add(message);
    return fresh;
  }

  #newsOf({ data, progress }: QueueJob<TakePayload>): string[] {
    const engine = String(data?.engine);
    if (engine !== this.#engine)
      return [
        `the queue holds takes of another version (engine ${short(engine)}, here ${short(this.#engine)}): workers of ` +
          'this version set them aside',
      ];
    const { refusedBy } = (typeof progress === 'object' ? progress : {}) as Partial<RefusedNote>;
    if (typeof refusedBy !== 'string') return [];
    return [
      `a worker of another version (engine ${short(refusedBy)}, here ${short(this.#engine)}) is at the queue and can make ` +
        'none of these takes: install the same version there',
    ];
  }
}
