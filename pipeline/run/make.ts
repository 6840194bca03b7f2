import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Plan } from '../catalogue/plan.ts';
import { writeProblem } from '../publish/durable-file.ts';
import { makeBesidePictures } from './beside-pictures.ts';
import { Encoding } from './encoding.ts';
import { Job, type MakeOptions } from './job.ts';
import { publishJob } from './publishing.ts';
import { type Survey, surveyWork, type TakeStatus } from './survey.ts';
import { Tracing } from './tracing.ts';
import { openWorkplace } from './workplace.ts';

export type { MakeOptions } from './job.ts';

export interface MakeResult {
  made: number;
  /** SKU → why */
  failed: Map<string, string>;
  upToDate: boolean;
  folder: string;
}

/**
 * Makes a catalogue: builds, traces, encodes and publishes what the store does not hold yet. What cannot be made
 * is left out with its reason and the rest is completed.
 * @throws AbortError when the signal fires (everything finished so far stays in the store), ProblemError when
 *   the output folder cannot be written or no browser is found
 */
export async function makeCatalogue(plan: Plan, options: MakeOptions): Promise<MakeResult> {
  const start = performance.now();
  try {
    mkdirSync(join(options.out, '.bandwright'), { recursive: true });
  } catch (error) {
    throw writeProblem(error, options.out);
  }
  const place = await openWorkplace(plan, options.out);
  await place.store.sweep();
  const job = new Job(place, options);
  await fillStore(job, await surveyWork(place.work, place.store, place.last));
  options.signal.throwIfAborted();
  const published = await publishJob(job);
  return tell(job, published, (performance.now() - start) / 1000);
}

/** Makes everything wanted that the store does not hold, as far as it can be made. */
async function fillStore(job: Job, survey: Survey): Promise<void> {
  const takes = wantedTakes(job, survey);
  const toTrace = takes.filter((t) => t.trace);
  const tracing = new Tracing(job, toTrace);
  const encoding = new Encoding(job);
  const { work, costs } = job.place;
  job.options.report({
    event: 'planned',
    shapes: Object.keys(work.solids).length,
    takes: takes.length,
    toTrace: toTrace.length,
    pictures: takes.reduce((n, t) => n + t.work.pictures.length, 0),
    variants: work.plan.variants.length,
    pairs: work.plan.pairs.length,
    predictedSeconds: tracing.predict(),
    measured: costs.measured,
  });
  try {
    await buildShapes(job, survey, takes);
    for (const status of takes) {
      job.options.signal.throwIfAborted();
      if (status.trace && !(await tracing.take(status))) continue;
      for (const i of status.encode) encoding.begin(status.work, status.work.pictures[i]);
    }
    await encoding.done();
    await makeBesidePictures(job, survey);
  } finally {
    await encoding.settled();
    await job.close();
  }
}

/** Takes that serve a wanted SKU, shape by shape so that few shapes are held at a time. */
function wantedTakes(job: Job, survey: Survey): TakeStatus[] {
  const order = Object.keys(job.place.work.solids);
  return survey.takes
    .filter((t) => t.work.take.colourways.some((c) => c.pictures.some((p) => job.wanted(p.sku))))
    .sort((a, b) => order.indexOf(a.work.take.shapes[0]) - order.indexOf(b.work.take.shapes[0]));
}

/** Builds the shapes whose facts are missing, so that what cannot be made is known before anything is traced. */
async function buildShapes(job: Job, survey: Survey, takes: readonly TakeStatus[]): Promise<void> {
  const wanted = new Set(takes.flatMap((t) => t.work.take.shapes));
  for (const shape of survey.shapes) {
    job.options.signal.throwIfAborted();
    if (wanted.has(shape)) await job.bench.get(shape);
  }
}

function tell(
  job: Job,
  { made, written, unchanged, removed, files, folder, bytesWritten }: Awaited<ReturnType<typeof publishJob>>,
  seconds: number,
): MakeResult {
  const { failed } = job;
  const { report } = job.options;
  const upToDate = written.length + removed.length + files.length === 0 && failed.size === 0;
  if (!upToDate)
    report({
      event: 'published',
      folder,
      written: written.length,
      unchanged: unchanged.length,
      removed: removed.length,
    });
  report({ event: 'done', made, failed: [...failed.keys()], seconds, bytes: bytesWritten, upToDate });
  return { made, failed, upToDate, folder };
}
