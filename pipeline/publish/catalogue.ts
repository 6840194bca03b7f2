/**
 * Publishes a catalogue folder:
 *
 *     <SKU>/<SKU>-<shot>-<width>.<ext>, <SKU>-<shot>_<output>-<width>.<ext>, <SKU>-<shot>-thumb.webp, manifest.json
 *     models/<shape>.glb, models/<shape>.glb.js, models/bench/<part>.stl, .3mf, READ-ME.txt, models/each/<SKU>-<key>.glb, .usdz
 *     swatches/<SKU>-<shot>-sheet.png, <SKU>-<shot>-swatch.png, colours.csv
 *     comparison/<SKU>-<shot>.webp, comparison.html
 *     movies/<SKU>-<shot>-<width>.webp, .webm, .mp4
 *     catalogue.json, catalogue.csv, catalogue.jsonld, feed.csv, shop-import.csv, changes.json
 *     index.html, page/choices.js, page/items-<n>.js, page/viewer.js
 *     products/<SKU>.html, page/product.css, sitemap.xml
 *
 * Promise: interrupted at any instant, each item and each file is the old one or the new one. What is already
 * there and equal is left untouched, so publishing twice writes nothing. Nothing in the folder depends on the
 * time of day. One publisher at a time per folder; the caller sees to that.
 */
import { mkdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { type Catalogue, type CatalogueEntry, catalogueSchema } from '../facts/catalogue-schema.ts';
import { indexPage } from '../page/index-page.ts';
import { writeIfChanged } from '../store/changed-file.ts';
import { sweepTemporary, writeProblem } from '../store/durable-file.ts';
import { readOwn } from '../store/own-file.ts';
import { MARKETS } from '../trade/market.ts';
import { generalCautions } from '../words/locale.ts';
import { catalogueCsv } from './catalogue-csv.ts';
import { type CatalogueItem, publishItem, toEntry } from './catalogue-item.ts';
import { catalogueJsonLd } from './catalogue-jsonld.ts';
import { type CatalogueMeta, headOf } from './catalogue-meta.ts';
import { nextChanges } from './changes.ts';
import { coloursCsv } from './colours-csv.ts';
import { publishComparisonPage, publishComparisons } from './comparison-files.ts';
import { feedCsv } from './feed-csv.ts';
import { importCsv } from './import-csv.ts';
import { isComplete, listItemFolders, readManifest, recoverFolders, removeFolder } from './item-folder.ts';
import { clearKeyed, keyedFiles, publishKeyed } from './keyed-files.ts';
import { clearModels, publishModels } from './model-files.ts';
import { publishMovies, removeOldMovies } from './movie-files.ts';
import { clearPageFiles, pageCode, publishPageFiles } from './page-files.ts';
import { clearProductPages, publishProductPages } from './product-pages.ts';
import { checkSkus } from './sku-folder.ts';
import { publishSwatches, removeOldSwatches } from './swatch-files.ts';

export type { CatalogueDocument, CatalogueItem, CataloguePicture, CatalogueShot } from './catalogue-item.ts';
export type { CatalogueMeta } from './catalogue-meta.ts';
export type { CatalogueComparison } from './comparison-files.ts';
export type { KeyedFile } from './keyed-files.ts';
export type { CatalogueModel } from './model-files.ts';
export type { CatalogueMovie } from './movie-files.ts';
export type { CatalogueSwatches } from './swatch-files.ts';

export const CASTER_NOTE = 'models/bench/READ-ME.txt';

export interface PublishReport {
  folder: string;
  /** SKUs */
  written: string[];
  unchanged: string[];
  removed: string[];
  /** planned, not handed over this time, still in the folder from an earlier run */
  kept: string[];
  /** catalogue files and models that were rewritten */
  files: string[];
  bytesWritten: number;
}

/**
 * @param outDir the catalogue's own folder; made if missing
 * @throws ProblemError if the folder cannot be written or a SKU cannot name a folder
 */
export async function publishCatalogue(
  outDir: string,
  items: readonly CatalogueItem[],
  meta: CatalogueMeta,
): Promise<PublishReport> {
  checkSkus(items.map((item) => item.sku));
  const report: PublishReport = {
    folder: outDir,
    written: [],
    unchanged: [],
    removed: [],
    kept: [],
    files: [],
    bytesWritten: 0,
  };
  try {
    await mkdir(outDir, { recursive: true });
    await recoverFolders(outDir);
    await sweepTemporary(outDir);
    const before = await readCatalogue(outDir);
    const models = await publishModels(outDir, meta.models, before, report);
    await publishForCaster(outDir, items, meta, report);
    for (const item of items) await publishItem(outDir, item, report);
    const { entries, stale } = await collectEntries(outDir, items, meta.planned, report);
    const used = new Set(entries.flatMap((e) => e.bands.map((b) => b.model?.file)));
    const catalogue: Catalogue = {
      ...headOf(meta),
      items: entries,
      models: models.filter((m) => used.has(m.file)),
      ...(await publishShared(outDir, meta, report)),
      cautions: generalCautions(meta.language ?? 'en', MARKETS.get(meta.market ?? '')),
    };
    await publishChanges(outDir, before, catalogue, report);
    await publishListings(outDir, catalogue, meta, report);
    await publishComparisonPage(outDir, before, catalogue, report);
    await removeOldSwatches(outDir, before, catalogue);
    await removeOldMovies(outDir, before, catalogue);
    for (const sku of stale) {
      await removeFolder(outDir, sku);
      report.removed.push(sku);
    }
    await clearModels(outDir, [...models, ...(before?.models ?? [])], catalogue);
    await clearKeyed(outDir, entries);
    return report;
  } catch (error) {
    throw writeProblem(error, outDir);
  }
}

/** Files for the caster that published bands name, and what a caster must read first. */
async function publishForCaster(
  outDir: string,
  items: readonly CatalogueItem[],
  { keyed = [], casterNote }: CatalogueMeta,
  report: PublishReport,
): Promise<void> {
  const named = new Set(keyedFiles(items.flatMap((item) => item.bands)).map((f) => f.file));
  await publishKeyed(
    outDir,
    keyed.filter((p) => named.has(p.file)),
    report,
  );
  if (casterNote === undefined) await rm(join(outDir, CASTER_NOTE), { force: true });
  else await writeIfChanged(outDir, CASTER_NOTE, casterNote, report);
}

/** What several items share. */
async function publishShared(
  outDir: string,
  { swatches, comparisons, movies }: CatalogueMeta,
  report: PublishReport,
): Promise<Pick<Catalogue, 'swatches' | 'comparisons' | 'movies'>> {
  return {
    ...(swatches?.length ? { swatches: await publishSwatches(outDir, swatches, report) } : {}),
    ...(comparisons?.length ? { comparisons: await publishComparisons(outDir, comparisons, report) } : {}),
    ...(movies?.length ? { movies: await publishMovies(outDir, movies, report) } : {}),
  };
}

/** The catalogue.json of an earlier run; undefined if there is none or it cannot be read. */
export async function readCatalogue(outDir: string): Promise<Catalogue | undefined> {
  try {
    const parsed = catalogueSchema.safeParse(
      JSON.parse((await readOwn(join(outDir, 'catalogue.json'))).toString('utf8')),
    );
    return parsed.success ? parsed.data : undefined;
  } catch {
    return undefined;
  }
}

/** Entries of the catalogue in the plan's order, from this run and from manifests of earlier ones. */
async function collectEntries(
  outDir: string,
  items: readonly CatalogueItem[],
  planned: readonly string[],
  report: PublishReport,
): Promise<{ entries: CatalogueEntry[]; stale: string[] }> {
  const now = new Map(items.map((item) => [item.sku, toEntry(item)]));
  const order = [...new Set([...planned, ...now.keys()])];
  const entries: CatalogueEntry[] = [];
  for (const sku of order) {
    const entry = now.get(sku);
    if (entry) {
      entries.push(entry);
      continue;
    }
    const old = await readManifest(outDir, sku);
    if (old && (await isComplete(outDir, old.manifest))) {
      entries.push(old.manifest.item);
      report.kept.push(sku);
    }
  }
  const wanted = new Set(order);
  const stale = (await listItemFolders(outDir)).filter((sku) => !wanted.has(sku));
  return { entries, stale };
}

const textOf = (catalogue: Catalogue) => `${JSON.stringify(catalogue, null, 2)}\n`;

/** Before catalogue.json, from which the next run tells its own step. */
async function publishChanges(
  outDir: string,
  before: Catalogue | undefined,
  catalogue: Catalogue,
  report: PublishReport,
): Promise<void> {
  const old = (file: string) => readOwn(join(outDir, file)).then(String, () => undefined);
  const text = await old('catalogue.json');
  const changes = nextChanges(
    before && text !== undefined ? { catalogue: before, text } : undefined,
    await old('changes.json'),
    { catalogue, text: textOf(catalogue) },
  );
  await writeIfChanged(outDir, 'changes.json', `${JSON.stringify(changes, null, 1)}\n`, report);
}

async function publishListings(
  outDir: string,
  catalogue: Catalogue,
  { shop, credit, colours = [], models, pageChecks }: CatalogueMeta,
  report: PublishReport,
): Promise<void> {
  await writeIfChanged(outDir, 'catalogue.json', textOf(catalogue), report);
  await writeIfChanged(outDir, 'catalogue.csv', catalogueCsv(catalogue), report);
  await writeIfChanged(outDir, 'catalogue.jsonld', catalogueJsonLd(catalogue, { shop, credit }), report);
  if (shop?.baseUrl === undefined) await rm(join(outDir, 'feed.csv'), { force: true });
  else
    await writeIfChanged(outDir, 'feed.csv', feedCsv(catalogue, { ...shop, baseUrl: shop.baseUrl }), report);
  await writeIfChanged(outDir, 'shop-import.csv', importCsv(catalogue, shop), report);
  if (colours.length > 0)
    await writeIfChanged(
      outDir,
      'swatches/colours.csv',
      coloursCsv(colours, catalogue.language, MARKETS.get(catalogue.market ?? '')),
      report,
    );
  else await rm(join(outDir, 'swatches/colours.csv'), { force: true });
  const code = await pageCode();
  await publishPageFiles(outDir, catalogue, code, { models, checks: pageChecks }, report);
  await publishProductPages(outDir, catalogue, { shop, credit }, report);
  await writeIfChanged(outDir, 'index.html', indexPage(catalogue, code), report);
  await clearPageFiles(outDir, catalogue);
  await clearProductPages(outDir, catalogue);
}
