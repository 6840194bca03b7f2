import { join } from 'node:path';
import type { RunEvent } from '../artefacts/events.ts';
import { FILM, skusOfTake, type TakeWork } from '../artefacts/film.ts';
import { KINDS } from '../artefacts/kinds.ts';
import { PICTURE } from '../artefacts/picture.ts';
import { leaveQuarantine } from '../artefacts/quarantine.ts';
import { SOLID } from '../artefacts/solid.ts';
import { reached } from '../fault-point.ts';
import type { Plan, TakePlan } from '../plan/plan.ts';
import { formatProblem } from '../problem.ts';
import type { PublishReport } from '../publish/catalogue.ts';
import { recoverFolders } from '../publish/item-folder.ts';
import { ArtefactLost } from '../store/artefact-store.ts';
import { sweepTemporary } from '../store/durable-file.ts';
import { type Holder, Lease } from '../store/lease.ts';
import { sweepProfiles } from '../tracer/browser-process.ts';
import { sweepCheckpoints } from '../tracer/checkpoint-file.ts';
import { checkTallies } from './check-tally.ts';
import { workUntil } from './deadline.ts';
import { adoptFilms, surveyAdopted } from './film-engines.ts';
import { Following } from './following.ts';
import { heldItems, warnOfHeld } from './held-back.ts';
import { Job, type MakeOptions, placeOptions } from './job.ts';
import { makeBeside } from './making.ts';
import type { StandingCatalogue } from './published-record.ts';
import { type Assembled, assembleCatalogue, publishJob } from './publishing.ts';
import { recordStanding, unchangedStanding } from './standing.ts';
import { picturesOf, type Survey, surveyWork, type TakeStatus } from './survey.ts';
import { Tracing } from './tracing.ts';
import { madeHere, outOfQuarantine, wantedTakes } from './wanted-takes.ts';
import { openWorkplace, type Workplace } from './workplace.ts';

export type { MakeOptions } from './job.ts';

type PlannedEvent = Extract<RunEvent, { event: 'planned' }>;

export interface MakeResult {
  made: number;
  /** SKU → why */
  failed: Map<string, string>;
  /** some of it may well succeed if it is tried again */
  retriable: boolean;
  /** names of takes for which there was no time */
  left: string[];
  upToDate: boolean;
  folder: string;
}

/** How often what turns out damaged in the store is made again within one run. */
const ROUNDS = 3;

/**
 * Makes a catalogue: builds, traces, encodes and publishes what the store does not hold yet. What cannot be made
 * is left out with its reason and the rest is completed.
 * @throws AbortError when the signal fires (everything finished so far stays in the store), ProblemError when
 *   the output folder cannot be written or is in use, or no browser is found
 */
export async function makeCatalogue(plan: Plan, options: MakeOptions): Promise<MakeResult> {
  const start = performance.now();
  const { out, wait, signal, report } = options;
  const onWait = (holder?: Holder) => report({ event: 'waiting', message: waitWording(holder) });
  const lease = await Lease.take(out, { wait, signal, onWait });
  try {
    const place = await openWorkplace(plan, out, placeOptions(options));
    await adoptFilms(place);
    await proveFirst(place, join(out, plan.catalogue), report);
    await recoverFolders(join(out, plan.catalogue));
    await sweepTemporary(join(out, '.bandwright'));
    await sweepTemporary(join(out, plan.catalogue));
    await sweepCheckpoints(place.checkpoints);
    sweepProfiles();
    const job = new Job(place, { ...options, signal: AbortSignal.any([signal, lease.lost]) });
    if (options.retry) for (const take of place.work.pieces(FILM)) await leaveQuarantine(place.store, take);
    await fitUntil(job);
    const standing = await unchangedStanding(job);
    const published = standing ? tellStanding(job, standing) : await makeAndPublish(job);
    return tell(job, published, (performance.now() - start) / 1000);
  } catch (error) {
    throw lease.lost.aborted ? lease.lost.reason : error;
  } finally {
    await lease.release();
  }
}

/** Whatever cannot be made is refused before anything is. */
async function proveFirst(
  { work, logos }: Workplace,
  catalogueFolder: string,
  report: MakeOptions['report'],
): Promise<void> {
  const { plan, versions, pieces } = work;
  const engineOf = () => work.engine;
  const noise = () => plan.quality.noise;
  for (const kind of KINDS)
    for (const warning of (await kind.prove?.({
      plan,
      versions,
      engineOf,
      pieces,
      logos,
      noise,
      catalogueFolder,
    })) ?? [])
      report({ event: 'warning', message: formatProblem(warning) });
}

/** Lowers the quality of what is still to be traced as far as the run's end asks for it. */
async function fitUntil(job: Job): Promise<void> {
  const { place, options } = job;
  const { until } = options;
  if (!until) return;
  const wanted = (t: TakeWork) => skusOfTake(t).some((sku) => job.wanted(sku));
  const predict = (take: TakePlan, noise: number) => place.costs.predict(take, noise);
  const seconds = (until.getTime() - Date.now()) / 1000;
  const { work, factor } = await workUntil(place.workAt, place.store, predict, wanted, seconds);
  place.work = work;
  const asked = work.plan.quality.noise;
  if (factor > 1)
    options.report({ event: 'lowered', noise: asked * factor, asked, until: until.toISOString() });
}

/** What a run tells that finds everything made and published. */
function tellStanding(
  job: Job,
  { items, tallies, held, warnings }: StandingCatalogue,
): PublishReport & { made: number } {
  const { report, out } = job.options;
  const { work } = job.place;
  report(plannedEvent(job, work.pieces(FILM), { toTrace: 0, toBuild: 0, toEncode: 0, predictedSeconds: 0 }));
  job.options.signal.throwIfAborted();
  report({ event: 'checks', tallies, held });
  for (const message of warnings) report({ event: 'warning', message });
  const nothing = { written: [], unchanged: [], removed: [], kept: [], files: [], bytesWritten: 0 };
  return { ...nothing, folder: join(out, work.plan.catalogue), made: items };
}

/** In rounds, since damage in the store shows only when things are read. */
async function makeAndPublish(job: Job): Promise<PublishReport & { made: number }> {
  const { place, options } = job;
  const { store } = place;
  for (let round = 1; ; round++) {
    job.records.clear();
    const before = store.damaged.length;
    // a run with a deadline has set its takes' noise, and stays by the films that it has found
    const survey = () => (options.until ? surveyWork(place.work, store, place.last) : surveyAdopted(place));
    await options.elsewhere?.fill(job, await survey());
    await fillStore(job, await survey(), round);
    options.signal.throwIfAborted();
    const assembled = await assembleCatalogue(job);
    const again = round < ROUNDS;
    if (store.damaged.length > before && again) {
      for (const name of store.damaged.slice(before))
        options.report({ event: 'warning', message: `${name} was damaged in the store and is made again` });
      continue;
    }
    for (const [sku, what] of assembled.missing) job.fail([sku], `incomplete: ${what}`);
    options.signal.throwIfAborted();
    tellEngines(job, assembled);
    options.report({
      event: 'checks',
      tallies: checkTallies(assembled.items),
      held: heldItems(assembled.items),
    });
    await reached('run.publish');
    try {
      const published = await publishJob(job, assembled);
      await recordStanding(job, assembled, published.kept.length > 0);
      await reached('run.published');
      return { ...published, made: assembled.items.length };
    } catch (error) {
      if (!(error instanceof ArtefactLost) || !again) throw error;
    }
  }
}

/** Who has traced the pictures, where not all are the cores'. */
function tellEngines({ options }: Job, { items }: Assembled): void {
  const shots = items.flatMap((item) => item.shots);
  const gpu = shots.filter(({ tracedBy }) => tracedBy === 'gpu').length;
  if (gpu > 0) options.report({ event: 'engines', cpu: shots.length - gpu, gpu });
}

export function waitWording(holder: Holder | undefined): string {
  const who = holder ? `process ${holder.pid} on ${holder.host}, since ${holder.since}` : 'another run';
  return `the output folder is in use by ${who}: waiting, or seeing whether it still works`;
}

/** Makes everything wanted that the store does not hold, as far as it can be made. */
export async function fillStore(
  job: Job,
  survey: Survey,
  round: number,
  beside = makeBeside,
  beforeTracing = warnOfHeld,
): Promise<void> {
  const takes = madeHere(job, outOfQuarantine(job, wantedTakes(job, survey)));
  const toTrace = takes.filter((t) => t.trace);
  const tracing = new Tracing(job, toTrace);
  const following = new Following(job.making());
  const planned = plannedEvent(
    job,
    takes.map((t) => t.work),
    {
      toTrace: toTrace.length,
      toBuild: survey.shapes.filter((shape) => takes.some((t) => t.work.take.shapes.includes(shape))).length,
      toEncode: takes.reduce((n, t) => n + picturesOf(t), 0),
      predictedSeconds: tracing.predict(),
    },
  );
  if (round === 1) job.options.report(planned);
  await reached('run.planned');
  try {
    await buildShapes(job, survey, takes);
    if (round === 1) await beforeTracing(job);
    for (const status of takes) {
      job.options.signal.throwIfAborted();
      if (status.trace && !(await tracing.take(status))) continue;
      for (const piece of status.next) following.begin(piece);
    }
    await following.done();
    await beside(job, survey);
  } finally {
    await following.settled();
    await job.close();
  }
}

function plannedEvent(
  { place: { work, costs } }: Job,
  takes: readonly TakeWork[],
  todo: Pick<PlannedEvent, 'toTrace' | 'toBuild' | 'toEncode' | 'predictedSeconds'>,
): PlannedEvent {
  const counted = new Set(takes);
  return {
    event: 'planned',
    shapes: work.pieces(SOLID).length,
    takes: takes.length,
    pictures: work.pieces(PICTURE).filter((p) => counted.has(p.take)).length,
    variants: work.plan.variants.length,
    pairs: work.plan.pairs.length,
    measured: costs.measured,
    ...todo,
  };
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
  { made, written, unchanged, removed, files, folder, bytesWritten }: PublishReport & { made: number },
  seconds: number,
): MakeResult {
  const { failed } = job;
  const { report } = job.options;
  if (job.left.length > 0 && job.options.until)
    report({ event: 'left', takes: [...new Set(job.left)], until: job.options.until.toISOString() });
  const changes = written.length + removed.length + files.length + job.papers;
  const upToDate = changes === 0 && failed.size === 0;
  if (!upToDate)
    report({
      event: 'published',
      folder,
      written: written.length,
      unchanged: unchanged.length,
      removed: removed.length,
    });
  report({ event: 'done', made, failed: [...failed.keys()], seconds, bytes: bytesWritten, upToDate });
  return { made, failed, retriable: job.retriable, left: job.left, upToDate, folder };
}
