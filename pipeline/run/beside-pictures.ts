/** What a catalogue has beside its pictures: swatches, models, files for the caster, bench sheets. */

import { join } from 'node:path';
import { colourwayLook } from '../facts/looks.ts';
import { reached } from '../fault-point.ts';
import { allowanceWording, type CastPart } from '../model/cast-part.ts';
import { buildGlb } from '../model/glb.ts';
import { formatProblem, ProblemError } from '../problem.ts';
import { makeBench } from './bench-files.ts';
import { makeComparisons } from './comparing.ts';
import { bandsOfSubject, modelFile } from './items.ts';
import type { Job } from './job.ts';
import { makeUsd, recordOwnModels } from './own-models.ts';
import { encodePart } from './part-bundle.ts';
import { buildPart, partFile } from './parts.ts';
import { recordPrivate } from './private-record.ts';
import { makePrivate } from './proofs.ts';
import { withRetries } from './retries.ts';
import { type Sheet, sheetOf } from './sheets.ts';
import { subjectsOf } from './subject.ts';
import { type Survey, takeName } from './survey.ts';
import { makeSheet } from './swatch-work.ts';

export async function makeBesidePictures(job: Job, survey: Survey): Promise<void> {
  await makeSwatches(job);
  await makeModels(job, survey);
  await makeParts(job, survey);
  await makeUsd(job, survey);
  await recordOwnModels(job);
  await makeComparisons(job);
  await printSheets(job);
  const bench = await writeBench(job);
  await writePapers(job, bench);
  await job.place.costs.savePieces();
}

/** What bench and caster need; unless the config publishes it, it is no part of the catalogue's folder. */
async function writeBench(job: Job): Promise<string[]> {
  const { out, only, signal } = job.options;
  const { work, store } = job.place;
  const changed = await makeBench(join(out, work.plan.catalogue), { work, store, wanted: only, signal });
  job.papers += changed.length;
  return changed;
}

/** Papers for clients and the maker's prices; they are no part of the catalogue's folder. */
async function writePapers(job: Job, bench: readonly string[]): Promise<void> {
  const { out, report, signal, only } = job.options;
  const { work, versions, store, logo } = job.place;
  const folder = join(out, work.plan.catalogue);
  const made = await makePrivate(folder, {
    work,
    versions,
    store,
    logo,
    wanted: only,
    report,
    signal,
    print: (html) => job.place.costs.timed('proof', async () => (await job.tracer()).print?.(html)),
  });
  await recordPrivate(folder, [...bench, ...made.changed]);
  job.papers += made.changed.length;
  for (const [name, why] of made.failed) job.failed.set(name, why);
}

async function makeSwatches(job: Job): Promise<void> {
  const { store, work } = job.place;
  for (const sheet of work.swatches) {
    job.options.signal.throwIfAborted();
    if (!sheet.skus.some((sku) => job.wanted(sku)) || (await store.has('picture', sheet.key))) continue;
    const start = performance.now();
    const made = await makeSheet(store, sheet);
    const seconds = (performance.now() - start) / 1000;
    const bytes = await store.size('picture', sheet.key);
    if (made) job.place.costs.recordPieces('swatch', seconds, bytes ?? 0, sheet.skus.length);
    else {
      const message = `no swatches of ${takeName(sheet.take)}: its films are not in the store`;
      job.options.report({ event: 'warning', message });
    }
  }
}

export async function makeModels(job: Job, survey: Survey): Promise<void> {
  for (const model of survey.models) {
    job.options.signal.throwIfAborted();
    const skus = model.colourways.flatMap((c) => c.variants.map((v) => v.sku));
    if (!skus.some((sku) => job.wanted(sku)) && job.options.only) continue;
    const shape = await job.bench.get(model.shape);
    if (!shape) continue;
    const looks = model.colourways.map((c) => colourwayLook(c.name, c.variants[0].dress));
    const { costs, work } = job.place;
    const bytes = await costs.timed('model', () => buildGlb(shape, looks, work.plan.glbCompression));
    await job.place.store.put('model', model.key, bytes);
    job.options.report({ event: 'model', model: modelFile(model), bytes: bytes.length });
  }
}

/** A part that cannot be built fails its bands' files for the caster, not their pictures. */
export async function makeParts(job: Job, survey: Survey): Promise<void> {
  const { report, signal } = job.options;
  const { plan } = job.place.work;
  const { caster } = plan;
  for (const part of survey.parts) {
    signal.throwIfAborted();
    if (!caster || !part.skus.some((sku) => job.wanted(sku) || job.wantedInPair(sku))) continue;
    const shape = await job.bench.get(part.shape);
    if (!shape) continue;
    let made: CastPart;
    try {
      const start = performance.now();
      made = await buildPart(plan.shapes[part.shape], shape, part, caster);
      const seconds = (performance.now() - start) / 1000;
      job.place.costs.recordPieces('part', seconds, made.stl.length + made.threeMf.length);
    } catch (error) {
      if (!(error instanceof ProblemError)) throw error;
      const problems = error.problems.map(formatProblem);
      report({ event: 'part-failed', part: partFile(part, 'stl', caster), skus: part.skus, problems });
      job.fail(part.skus, `no files for the caster: ${problems[0]}`);
      continue;
    }
    const bytes = encodePart(made);
    await job.place.store.put('part', part.key, bytes);
    const allowances = allowanceWording(caster);
    report({ event: 'part', part: partFile(part, 'stl', caster), bytes: bytes.length, allowances });
  }
}

/** Prints the bench sheets that are not in the store. A backend without a browser leaves them as HTML. */
async function printSheets(job: Job): Promise<void> {
  const { work, store } = job.place;
  if (!work.plan.sheets) return;
  for (const subject of subjectsOf(work.plan).filter((s) => job.wanted(s.sku))) {
    const bands = await bandsOfSubject(subject, { work, store });
    if ('missing' in bands) continue;
    for (const band of bands) {
      job.options.signal.throwIfAborted();
      const sheet = sheetOf(band, work);
      if (await store.has('sheet', sheet.key)) continue;
      const pdf = await job.place.costs.timed('sheet', () => printSheet(job, sheet));
      if (!pdf) continue;
      await store.put('sheet', sheet.key, pdf);
      job.options.report({ event: 'sheet', sku: band.sku, bytes: pdf.length });
    }
  }
}

/** A print that fails fails its band's sheet and nothing else; the page is published all the same. */
async function printSheet(job: Job, { sku, html }: Sheet): Promise<Uint8Array | undefined> {
  const { signal, report } = job.options;
  const onRetry = (_: number, reason: string) =>
    report({ event: 'warning', message: `printing again the bench sheet of ${sku}: ${reason}` });
  try {
    const print = async () => {
      await reached('tracer.print');
      return (await job.tracer()).print?.(html);
    };
    return await withRetries(print, { signal, backoffMs: 100, hadBrowser: () => true, onRetry });
  } catch (error) {
    if (signal.aborted || error instanceof ProblemError) throw error;
    const reason = error instanceof Error ? error.message : String(error);
    report({ event: 'sheet-failed', sku, reason });
    job.fail([sku], `no print of its bench sheet: ${reason}`);
    job.retriable = true;
    return undefined;
  }
}
