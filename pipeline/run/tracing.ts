import { skusOfTake, type TakeWork, takeName } from '../artefacts/film.ts';
import { othersOf, traceWork } from '../artefacts/film-make.ts';
import { loadSky, SourceChanged } from '../artefacts/film-store.ts';
import { putInQuarantine } from '../artefacts/quarantine.ts';
import { GaveUp } from '../artefacts/retries.ts';
import { hasCheckpoint } from '../artefacts/take-checkpoints.ts';
import type { BuiltShape } from '../band/built-shape.ts';
import type { TakePlan } from '../plan/plan.ts';
import { ProblemError } from '../problem.ts';
import type { SkyMap } from '../scene/sky-map.ts';
import { writeDurably } from '../store/durable-file.ts';
import type { TraceProgress } from '../tracer/tracer.ts';
import type { Job } from './job.ts';
import { untilNothingHinders } from './pauses.ts';
import type { TakeStatus } from './survey.ts';

/** ms before a take is tried again: time for a browser to go and for memory to come back. */
const BACKOFF_MS = 500;

/** Traces the takes of a job one after another and stores their films. */
export class Tracing {
  readonly #job: Job;
  readonly #takes: readonly TakeStatus[];
  #traced = 0;
  /** seconds of the takes traced so far */
  readonly #sums = { foretold: 0, took: 0 };
  #sky: { hash: string | undefined; map: SkyMap | undefined } | undefined;

  /** `takes`: those to trace, in order */
  constructor(job: Job, takes: readonly TakeStatus[]) {
    this.#job = job;
    this.#takes = takes;
  }

  /** Seconds that tracing takes will need, if the machine stays as busy with other things as it was in this run. */
  predict(takes = this.#takes): number {
    return takes.reduce((sum, t) => sum + this.#predictOne(t.work), 0);
  }

  #predictOne({ take, noise }: TakeWork): number {
    const { foretold, took } = this.#sums;
    return this.#job.place.costs.predict(take, noise) * (foretold > 0 ? took / foretold : 1);
  }

  /** Whether the take's films are in the store now; if not, its SKUs have failed. */
  async take(status: TakeStatus): Promise<boolean> {
    const { bench } = this.#job;
    if (this.#late(status.work)) return false;
    const shapes: BuiltShape[] = [];
    for (const key of status.work.take.shapes) {
      const shape = await bench.get(key);
      if (!shape) {
        this.#job.fail(skusOfTake(status.work), `shape cannot be built: ${bench.failed.get(key)?.[0] ?? ''}`);
        return false;
      }
      shapes.push(shape);
    }
    const { hindrances = [], report } = this.#job.options;
    await untilNothingHinders({ hindrances, report, signal: this.#untilSignal() }).catch((error) => {
      if (this.#job.options.signal.aborted) throw error;
    });
    if (this.#late(status.work)) return false;
    return this.#trace(status.work, shapes, this.#takes.indexOf(status));
  }

  async #trace(work: TakeWork, shapes: readonly BuiltShape[], index: number): Promise<boolean> {
    const { report, signal } = this.#job.options;
    const { costs, store, checkpoints, engines, work: all } = this.#job.place;
    const { take } = work;
    const later = this.#takes.slice(index + 1);
    const foretold = costs.predict(take, work.noise);
    const predicted = this.#predictOne(work);
    const begun = performance.now();
    report({
      event: 'take-start',
      take: take.id,
      label: takeName(work),
      index: index + 1,
      total: this.#takes.length,
      colourways: take.colourways.length,
      noise: work.noise,
      predictedSeconds: foretold,
    });
    const end = this.#untilSignal();
    await this.#warnOfOthers(work);
    try {
      const result = await traceWork(work, shapes, await this.#skyOf(take), {
        plan: all.plan,
        store,
        anyEngine: engines !== undefined,
        tracer: () => this.#job.tracer(),
        checkpoints,
        signal: end,
        onProgress: (progress) => this.#tellProgress(work, progress, predicted, later),
        backoffMs: this.#job.options.backoffMs ?? BACKOFF_MS,
        hadBrowser: () => this.#traced > 0,
        onRetry: (attempt, reason) => report({ event: 'take-retry', take: take.id, attempt, reason }),
      });
      if (!result) {
        const message = `${takeName(work)}: its films by another engine were stored meanwhile; they count, and these are given up`;
        report({ event: 'warning', message });
        return false;
      }
      this.#traced++;
      this.#sums.foretold += foretold;
      this.#sums.took += (performance.now() - begun) / 1000;
      costs.record(take, work.noise, result);
      await costs.save();
      await this.#remember(work);
      const { passes, paths, error, seconds } = result;
      const etaSeconds = this.predict(later);
      report({ event: 'take-done', take: take.id, passes, paths, error, seconds, etaSeconds });
      return true;
    } catch (error) {
      if (signal.aborted || error instanceof ProblemError) throw error;
      if (end.aborted) this.#leave(work);
      else await this.#giveUp(work, error);
      return false;
    }
  }

  /** @param predicted seconds for this take; `later`: the takes after it */
  #tellProgress(work: TakeWork, p: TraceProgress, predicted: number, later: readonly TakeStatus[]): void {
    this.#job.options.report({
      event: 'take-progress',
      take: work.take.id,
      passes: p.passes,
      open: p.open,
      error: Number.isFinite(p.error) ? p.error : null,
      target: work.noise,
      memory: p.memory,
      etaSeconds: Math.max(predicted - p.seconds, p.open * p.seconds) + this.predict(later),
    });
  }

  async #warnOfOthers(work: TakeWork): Promise<void> {
    for (const other of othersOf(work))
      if (await hasCheckpoint(this.#job.place.checkpoints, other)) {
        const message = `${takeName(work)}: what another engine has begun of it can't be gone on with; it begins anew`;
        this.#job.options.report({ event: 'warning', message });
      }
  }

  /** Fires with the run's signal, and when its time is up. */
  #untilSignal(): AbortSignal {
    const { signal, until } = this.#job.options;
    if (!until) return signal;
    // timers hold 31 bits of milliseconds, and a day is far less
    return AbortSignal.any([signal, AbortSignal.timeout(Math.max(0, until.getTime() - Date.now()))]);
  }

  /** Whether a take would not be done in time; it is then left. An unmeasured guess leaves nothing unbegun. */
  #late(work: TakeWork): boolean {
    const { until } = this.#job.options;
    const { costs } = this.#job.place;
    if (!until) return false;
    const seconds = (until.getTime() - Date.now()) / 1000;
    if (seconds > 0 && (!costs.measured || this.#predictOne(work) <= seconds)) return false;
    this.#leave(work);
    return true;
  }

  #leave(work: TakeWork): void {
    this.#job.left.push(takeName(work));
    this.#job.fail(skusOfTake(work), 'left for another run: no time before the end that was asked for');
  }

  async #giveUp(work: TakeWork, error: unknown): Promise<void> {
    const reason = error instanceof Error ? error.message : String(error);
    const skus = skusOfTake(work);
    this.#job.options.report({ event: 'take-failed', take: work.take.id, skus, reason });
    this.#job.fail(skus, reason, true);
    if (error instanceof SourceChanged) return;
    const attempts = error instanceof GaveUp ? error.attempts : 1;
    await putInQuarantine(this.#job.place.store, work, { reason, attempts });
  }

  /** The picture of a take's sky; the last one is kept, since takes of one shot follow each other. */
  async #skyOf(take: TakePlan): Promise<SkyMap | undefined> {
    const hash = take.shot.studio.sky?.hash;
    if (hash !== this.#sky?.hash) this.#sky = { hash, map: await loadSky(take) };
    return this.#sky?.map;
  }

  async #remember(work: TakeWork): Promise<void> {
    const { last, lastFile } = this.#job.place;
    last[takeName(work)] = work.inputs;
    await writeDurably(lastFile, Buffer.from(`${JSON.stringify(last, null, 2)}\n`));
  }
}
