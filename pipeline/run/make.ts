import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import pLimit from 'p-limit';
import type { BuiltShape } from '../band/built-shape.ts';
import type { Plan, TakePlan } from '../catalogue/plan.ts';
import { allowanceWording } from '../model/cast-part.ts';
import { buildGlb, MODEL_VERSION } from '../model/glb.ts';
import { encodePictures, PICTURE_VERSION } from '../picture/encode.ts';
import { formatProblem, ProblemError } from '../problem.ts';
import { publishCatalogue } from '../publish/catalogue.ts';
import { sweepCheckpoints } from '../publish/checkpoint-file.ts';
import { writeDurably, writeProblem } from '../publish/durable-file.ts';
import { WHITE_LEVEL } from '../scene/ground.ts';
import type { SkyMap } from '../scene/sky-map.ts';
import type { TraceProgress, Tracer } from '../tracer/tracer.ts';
import type { Report } from './events.ts';
import { feedWarnings } from './feed-warnings.ts';
import { assembleItem, bandsOfSubject, catalogueModels, modelFile } from './items.ts';
import { colourwayLook } from './looks.ts';
import { encodePart } from './part-bundle.ts';
import { buildPart, catalogueParts, partFile } from './parts.ts';
import { encodeBundle } from './picture-bundle.ts';
import { ShapeBench } from './shape-bench.ts';
import { sheetOf } from './sheets.ts';
import { subjectsOf } from './subject.ts';
import { type Survey, surveyWork, type TakeStatus, takeName } from './survey.ts';
import { catalogueSwatches, makeSheet } from './swatch-work.ts';
import { takeCheckpoints } from './take-checkpoints.ts';
import { filmsInto, loadFilm, loadSky, storeTake, takeScene, traceWithRetries } from './take-run.ts';
import { layerVersions } from './version.ts';
import type { PictureWork, TakeWork } from './work.ts';
import { openWorkplace, type Workplace } from './workplace.ts';

export interface MakeOptions {
  /** folder that holds catalogues and the store */
  out: string;
  /** which SKUs to make; all unless given */
  only?: (sku: string) => boolean;
  /** opened with the first take that has to be traced */
  openTracer: () => Promise<Tracer>;
  report: Report;
  signal: AbortSignal;
}

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
  await sweepCheckpoints(place.checkpoints);
  const survey = await surveyWork(place.work, place.store, place.last);
  const run = new Run(place, survey, options);
  return run.all(start);
}

class Run {
  readonly #place: Workplace;
  readonly #options: MakeOptions;
  readonly #survey: Survey;
  readonly #bench: ShapeBench;
  readonly #failed = new Map<string, string>();
  readonly #encoders = pLimit(2);
  readonly #encoding: Promise<void>[] = [];
  #tracer: Tracer | undefined;
  #sky: { hash: string | undefined; map: SkyMap | undefined } | undefined;

  constructor(place: Workplace, survey: Survey, options: MakeOptions) {
    this.#place = place;
    this.#survey = survey;
    this.#options = options;
    const total = Object.keys(place.work.solids).length;
    this.#bench = new ShapeBench(place.work, place.store, options.report, total);
  }

  async all(start: number): Promise<MakeResult> {
    const { report, signal } = this.#options;
    const { work } = this.#place;
    const takes = this.#takes();
    const toTrace = takes.filter((t) => t.trace);
    report({
      event: 'planned',
      shapes: Object.keys(work.solids).length,
      takes: takes.length,
      toTrace: toTrace.length,
      pictures: takes.reduce((n, t) => n + t.work.pictures.length, 0),
      variants: work.plan.variants.length,
      pairs: work.plan.pairs.length,
      predictedSeconds: this.#predict(toTrace),
      measured: this.#place.costs.measured,
    });
    try {
      await this.#shapes();
      for (let i = 0; i < takes.length; i++) {
        signal.throwIfAborted();
        await this.#take(takes[i], toTrace);
      }
      await Promise.all(this.#encoding);
      await this.#swatches();
      await this.#models();
      await this.#parts();
      await this.#sheets();
    } finally {
      await Promise.allSettled(this.#encoding);
      await this.#tracer?.close();
    }
    signal.throwIfAborted();
    return this.#publish(start);
  }

  /** Takes that serve a wanted SKU, shape by shape so that few shapes are held at a time. */
  #takes(): TakeStatus[] {
    const order = Object.keys(this.#place.work.solids);
    return this.#survey.takes
      .filter((t) => t.work.take.colourways.some((c) => c.pictures.some((p) => this.#wanted(p.sku))))
      .sort((a, b) => order.indexOf(a.work.take.shapes[0]) - order.indexOf(b.work.take.shapes[0]));
  }

  #wanted(sku: string): boolean {
    return this.#options.only?.(sku) ?? true;
  }

  #predict(takes: readonly TakeStatus[]): number {
    const { costs, work } = this.#place;
    return takes.reduce((sum, t) => sum + costs.predict(t.work.take, work.plan.quality.noise), 0);
  }

  /** Builds the shapes whose facts are missing, so that what cannot be made is known before anything is traced. */
  async #shapes(): Promise<void> {
    const wanted = new Set(this.#takes().flatMap((t) => t.work.take.shapes));
    for (const shape of this.#survey.shapes) {
      this.#options.signal.throwIfAborted();
      if (wanted.has(shape)) await this.#bench.get(shape);
    }
  }

  async #take(status: TakeStatus, toTrace: readonly TakeStatus[]): Promise<void> {
    if (status.trace) {
      const shapes: BuiltShape[] = [];
      for (const key of status.work.take.shapes) {
        const shape = await this.#bench.get(key);
        if (!shape) {
          this.#fail(
            skusOfTake(status.work),
            `shape cannot be built: ${this.#bench.failed.get(key)?.[0] ?? ''}`,
          );
          return;
        }
        shapes.push(shape);
      }
      const done = await this.#trace(status.work, shapes, toTrace.indexOf(status), toTrace);
      if (!done) return;
    }
    for (const i of status.encode)
      this.#encoding.push(this.#encoders(() => this.#encode(status.work, status.work.pictures[i])));
  }

  async #trace(
    work: TakeWork,
    shapes: readonly BuiltShape[],
    index: number,
    toTrace: readonly TakeStatus[],
  ): Promise<boolean> {
    const { report, signal } = this.#options;
    const { costs, store } = this.#place;
    const { quality } = this.#place.work.plan;
    const { take } = work;
    const later = toTrace.slice(index + 1);
    report({
      event: 'take-start',
      take: take.id,
      label: takeName(work),
      index: index + 1,
      total: toTrace.length,
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
        etaSeconds: Math.max(predicted - p.seconds, p.open * p.seconds) + this.#predict(later),
      });
    try {
      this.#tracer ??= await this.#options.openTracer();
      const checkpoints = takeCheckpoints(this.#place.checkpoints, work.record);
      const options = {
        seed: quality.seed,
        noiseTarget: quality.noise,
        passCap: quality.passCap,
        signal,
        onProgress,
        checkpoints,
        onFilm: filmsInto(store, work),
      };
      const result = await traceWithRetries(
        this.#tracer,
        takeScene(take, shapes, await this.#skyOf(take)),
        options,
        (attempt, reason) => report({ event: 'take-retry', take: take.id, attempt, reason }),
      );
      await storeTake(store, work, result);
      await checkpoints.discard();
      costs.record(take, quality.noise, result.seconds);
      costs.save();
      await this.#remember(work);
      const { passes, paths, error, seconds } = result;
      const etaSeconds = this.#predict(later);
      report({ event: 'take-done', take: take.id, passes, paths, error, seconds, etaSeconds });
      return true;
    } catch (error) {
      if (signal.aborted || error instanceof ProblemError) throw error;
      const reason = error instanceof Error ? error.message : String(error);
      const skus = skusOfTake(work);
      report({ event: 'take-failed', take: take.id, skus, reason });
      this.#fail(skus, reason);
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
    this.#place.last[takeName(work)] = work.inputs;
    await writeDurably(this.#place.lastFile, Buffer.from(`${JSON.stringify(this.#place.last, null, 2)}\n`));
  }

  async #encode(work: TakeWork, { key, colourway, title, alt }: PictureWork): Promise<void> {
    if (this.#options.signal.aborted) return;
    const { store, watermark, ownWatermarks } = this.#place;
    const { plan } = this.#place.work;
    const film = await loadFilm(store, work.films[colourway]);
    // a film that is damaged is gone from the store now: the next run traces it again
    if (!film) return;
    const matte = work.matte && (await loadFilm(store, work.matte));
    if (work.matte && !matte) return;
    const images = await encodePictures(film, plan.images, {
      white: WHITE_LEVEL,
      matte: matte || undefined,
      watermark,
      // the index shows one picture of a turntable
      thumbnail: !work.take.shot.turn?.angle,
      ownWatermarks,
      metadata: { title, alt, credit: plan.credit },
    });
    await store.put('picture', key, encodeBundle(images));
  }

  async #swatches(): Promise<void> {
    const { store, work } = this.#place;
    for (const sheet of work.swatches) {
      this.#options.signal.throwIfAborted();
      if (!sheet.skus.some((sku) => this.#wanted(sku)) || (await store.has('picture', sheet.key))) continue;
      if (!(await makeSheet(store, sheet))) {
        const message = `no swatches of ${takeName(sheet.take)}: its films are not in the store`;
        this.#options.report({ event: 'warning', message });
      }
    }
  }

  async #models(): Promise<void> {
    for (const model of this.#survey.models) {
      this.#options.signal.throwIfAborted();
      const skus = model.colourways.flatMap((c) => c.variants.map((v) => v.sku));
      if (!skus.some((sku) => this.#wanted(sku)) && this.#options.only) continue;
      const shape = await this.#bench.get(model.shape);
      if (!shape) continue;
      const looks = model.colourways.map((c) => colourwayLook(c.name, c.variants[0].dress));
      const bytes = await buildGlb(shape, looks);
      await this.#place.store.put('model', model.key, bytes);
      this.#options.report({ event: 'model', model: modelFile(model), bytes: bytes.length });
    }
  }

  /** A part that cannot be built fails its bands' files for the caster, not their pictures. */
  async #parts(): Promise<void> {
    const { report, signal } = this.#options;
    const { caster } = this.#place.work.plan;
    for (const part of this.#survey.parts) {
      signal.throwIfAborted();
      if (!caster || !part.skus.some((sku) => this.#wanted(sku) || this.#wantedInPair(sku))) continue;
      const shape = await this.#bench.get(part.shape);
      if (!shape) continue;
      try {
        const made = await buildPart(this.#place.work.plan.shapes[part.shape], shape, part, caster);
        const bytes = encodePart(made);
        await this.#place.store.put('part', part.key, bytes);
        const allowances = allowanceWording(caster);
        report({ event: 'part', part: partFile(part, 'stl'), bytes: bytes.length, allowances });
      } catch (error) {
        if (!(error instanceof ProblemError)) throw error;
        const problems = error.problems.map(formatProblem);
        report({ event: 'part-failed', part: partFile(part, 'stl'), skus: part.skus, problems });
        this.#fail(part.skus, `no files for the caster: ${problems[0]}`);
      }
    }
  }

  /** Prints the bench sheets that are not in the store. A backend without a browser leaves them as HTML. */
  async #sheets(): Promise<void> {
    const { work, store } = this.#place;
    if (!work.plan.sheets) return;
    for (const subject of subjectsOf(work.plan).filter((s) => this.#wanted(s.sku))) {
      const bands = await bandsOfSubject(subject, { work, store });
      if ('missing' in bands) continue;
      for (const band of bands) {
        this.#options.signal.throwIfAborted();
        const sheet = sheetOf(band, work);
        if (await store.has('sheet', sheet.key)) continue;
        this.#tracer ??= await this.#options.openTracer();
        const pdf = await this.#tracer.print?.(sheet.html);
        if (!pdf) continue;
        await store.put('sheet', sheet.key, pdf);
        this.#options.report({ event: 'sheet', sku: band.sku, bytes: pdf.length });
      }
    }
  }

  #wantedInPair(sku: string): boolean {
    return this.#place.work.plan.pairs.some(
      (p) => this.#wanted(p.sku) && [p.left.sku, p.right.sku].includes(sku),
    );
  }

  #fail(skus: readonly string[], reason: string): void {
    for (const sku of skus) if (this.#wanted(sku) && !this.#failed.has(sku)) this.#failed.set(sku, reason);
  }

  async #publish(start: number): Promise<MakeResult> {
    const { report, out } = this.#options;
    const { work, store } = this.#place;
    const versions = { ...layerVersions(), encoder: PICTURE_VERSION, modelFormat: MODEL_VERSION };
    const source = { work, store, versions };
    const items = [];
    for (const subject of subjectsOf(work.plan)) {
      if (!this.#wanted(subject.sku)) continue;
      const assembled = await assembleItem(subject, source);
      if ('item' in assembled) items.push(assembled.item);
      else this.#fail([subject.sku], `incomplete: ${assembled.missing}`);
    }
    const { plan } = work;
    for (const message of feedWarnings(items)) report({ event: 'warning', message });
    const published = await publishCatalogue(join(out, plan.catalogue), items, {
      catalogue: plan.catalogue,
      title: plan.title,
      workshop: plan.workshop,
      axes: plan.axes,
      planned: subjectsOf(work.plan).map((s) => s.sku),
      models: await catalogueModels(source),
      swatches: await catalogueSwatches(store, work.swatches),
      colours: plan.swatches ? plan.variants.flatMap((v) => v.dress.alloys) : [],
      credit: plan.credit,
      shop: plan.shop,
      parts: await catalogueParts(source),
    });
    const { written, unchanged, removed, files, folder, bytesWritten } = published;
    const upToDate = written.length + removed.length + files.length === 0 && this.#failed.size === 0;
    if (!upToDate)
      report({
        event: 'published',
        folder,
        written: written.length,
        unchanged: unchanged.length,
        removed: removed.length,
      });
    report({
      event: 'done',
      made: items.length,
      failed: [...this.#failed.keys()],
      seconds: (performance.now() - start) / 1000,
      bytes: bytesWritten,
      upToDate,
    });
    return { made: items.length, failed: this.#failed, upToDate, folder };
  }
}

function skusOfTake(work: TakeWork): string[] {
  return [...new Set(work.take.colourways.flatMap((c) => c.pictures.map((p) => p.sku)))];
}
