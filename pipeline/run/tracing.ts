import type { BuiltShape } from '../band/built-shape.ts';
import type { TakePlan } from '../catalogue/plan.ts';
import { ProblemError } from '../problem.ts';
import { writeDurably } from '../publish/durable-file.ts';
import type { SkyMap } from '../scene/sky-map.ts';
import type { TraceProgress } from '../tracer/tracer.ts';
import type { Job } from './job.ts';
import { type TakeStatus, takeName } from './survey.ts';
import { loadSky, storeFilms, takeScene, traceWithRetries } from './take-run.ts';
import type { TakeWork } from './work.ts';

/** Traces the takes of a job one after another and stores their films. */
export class Tracing {
  readonly #job: Job;
  readonly #takes: readonly TakeStatus[];
  #sky: { hash: string | undefined; map: SkyMap | undefined } | undefined;

  /** `takes`: those to trace, in order */
  constructor(job: Job, takes: readonly TakeStatus[]) {
    this.#job = job;
    this.#takes = takes;
  }

  /** Seconds that tracing takes will need. */
  predict(takes = this.#takes): number {
    const { costs, work } = this.#job.place;
    return takes.reduce((sum, t) => sum + costs.predict(t.work.take, work.plan.quality.noise), 0);
  }

  /** Whether the take's films are in the store now; if not, its SKUs have failed. */
  async take(status: TakeStatus): Promise<boolean> {
    const { bench } = this.#job;
    const shapes: BuiltShape[] = [];
    for (const key of status.work.take.shapes) {
      const shape = await bench.get(key);
      if (!shape) {
        this.#job.fail(skusOfTake(status.work), `shape cannot be built: ${bench.failed.get(key)?.[0] ?? ''}`);
        return false;
      }
      shapes.push(shape);
    }
    return this.#trace(status.work, shapes, this.#takes.indexOf(status));
  }

  async #trace(work: TakeWork, shapes: readonly BuiltShape[], index: number): Promise<boolean> {
    const { report, signal } = this.#job.options;
    const { costs, store, work: all } = this.#job.place;
    const { quality } = all.plan;
    const { take } = work;
    const later = this.#takes.slice(index + 1);
    report({
      event: 'take-start',
      take: take.id,
      label: takeName(work),
      index: index + 1,
      total: this.#takes.length,
      colourways: take.colourways.length,
    });
    const predicted = costs.predict(take, quality.noise);
    const onProgress = (p: TraceProgress) =>
      report({
        event: 'take-progress',
        take: take.id,
        passes: p.passes,
        open: p.open,
        error: p.error,
        target: quality.noise,
        etaSeconds: Math.max(predicted - p.seconds, p.open * p.seconds) + this.predict(later),
      });
    try {
      const tracer = await this.#job.tracer();
      const options = {
        seed: quality.seed,
        noiseTarget: quality.noise,
        passCap: quality.passCap,
        signal,
        onProgress,
      };
      const result = await traceWithRetries(
        tracer,
        takeScene(take, shapes, await this.#skyOf(take)),
        options,
        (attempt, reason) => report({ event: 'take-retry', take: take.id, attempt, reason }),
      );
      await storeFilms(store, work, result);
      costs.record(take, quality.noise, result.seconds);
      costs.save();
      await this.#remember(work);
      const { passes, paths, error, seconds } = result;
      const etaSeconds = this.predict(later);
      report({ event: 'take-done', take: take.id, passes, paths, error, seconds, etaSeconds });
      return true;
    } catch (error) {
      if (signal.aborted || error instanceof ProblemError) throw error;
      const reason = error instanceof Error ? error.message : String(error);
      const skus = skusOfTake(work);
      report({ event: 'take-failed', take: take.id, skus, reason });
      this.#job.fail(skus, reason);
      return false;
    }
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

function skusOfTake(work: TakeWork): string[] {
  return [...new Set(work.take.colourways.flatMap((c) => c.pictures.map((p) => p.sku)))];
}
