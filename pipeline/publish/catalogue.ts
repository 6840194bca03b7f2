/**
 * Publishes a catalogue folder:
 *
 *     <SKU>/<SKU>-<shot>-<width>.<ext>, <SKU>-<shot>_<output>-<width>.<ext>, <SKU>-<shot>-thumb.webp, manifest.json
 *     models/<shape>.glb
 *     swatches/<SKU>-<shot>-sheet.png, <SKU>-<shot>-swatch.png, colours.csv
 *     catalogue.json, catalogue.csv, catalogue.jsonld, feed.csv, index.html
 *
 * Promise: interrupted at any instant, each item and each file is the old one or the new one. What is already
 * there and equal is left untouched, so publishing twice writes nothing. Nothing in the folder depends on the
 * time of day. One publisher at a time per folder; the caller sees to that.
 */
import { mkdir, readdir, readFile, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import type { CreditPlan, Plan, ShopPlan } from '../catalogue/plan.ts';
import type { EncodedImage } from '../picture/encode.ts';
import { type Problem, ProblemError } from '../problem.ts';
import { catalogueCsv } from './catalogue-csv.ts';
import { catalogueJsonLd } from './catalogue-jsonld.ts';
import {
  type BandFacts,
  CATALOGUE_VERSION,
  type Catalogue,
  type CatalogueEntry,
  catalogueSchema,
  type DocumentEntry,
  type Manifest,
  type ModelEntry,
  type SwatchEntry,
} from './catalogue-schema.ts';
import { CAUTIONS } from './cautions.ts';
import { coloursCsv } from './colours-csv.ts';
import { sha256 } from './content-key.ts';
import { sweepTemporary, writeDurably, writeProblem } from './durable-file.ts';
import { feedCsv } from './feed-csv.ts';
import { indexPage } from './index-page.ts';
import {
  isComplete,
  listItemFolders,
  placeFolder,
  readManifest,
  recoverFolders,
  removeFolder,
} from './item-folder.ts';

/** A picture as encoded, or all but its bytes, which are then fetched only if they must be written. */
export type CataloguePicture = Omit<EncodedImage, 'data' | 'fill'> & {
  fill?: number;
  data: Uint8Array | (() => Promise<Uint8Array>);
};

export interface CatalogueShot {
  /** the shot's name in the config, part of file names */
  name: string;
  /** what it shows, for people */
  label: string;
  /** one frame of a turntable */
  turn?: { frame: number; of: number };
  /** alternative text */
  alt?: string;
  noise: { target: number; reached: number; passes: number };
  pictures: CataloguePicture[];
}

/** A file for the bench in an item's folder. */
export interface CatalogueDocument {
  kind: DocumentEntry['kind'];
  /** name within the folder */
  name: string;
  data: Uint8Array;
}

/** A file of a cast part; its bytes are fetched only if they must be written. */
export interface CataloguePartFile {
  /** path from the catalogue folder, `models/bench/<name>` */
  file: string;
  bytes: number;
  sha256: string;
  data: () => Promise<Uint8Array>;
}

/** One finished item, ready to publish. */
export interface CatalogueItem {
  sku: string;
  kind: 'variant' | 'pair';
  title: string;
  /** one for a variant, two for a pair; `model.file` as in `CatalogueModel.file` */
  bands: BandFacts[];
  shots: CatalogueShot[];
  documents?: CatalogueDocument[];
  /** of the alloys and stones in it; general cautions are added to the catalogue */
  cautions: string[];
  keys: Record<string, string>;
  versions: Record<string, string>;
}

export interface CatalogueModel {
  /** path from the catalogue folder, `models/<shape>.glb` */
  file: string;
  shape: string;
  variants: string[];
  data: Uint8Array;
}

interface SwatchFile {
  /** path from the catalogue folder, `swatches/<name>.png` */
  file: string;
  width: number;
  height: number;
  data: Uint8Array;
}

/** All colourways of one take. */
export interface CatalogueSwatches {
  shot: string;
  sheet: SwatchFile;
  singles: (SwatchFile & { sku: string; caption: string })[];
}

export interface CatalogueMeta {
  catalogue: string;
  title: string;
  workshop: string;
  axes: Plan['axes'];
  /**
   * every SKU of the plan, in the plan's order. Planned items that are not handed over now but stand in the folder
   * stay; items that are no longer planned go.
   */
  planned: string[];
  models: CatalogueModel[];
  /** sheets and single swatches; those of earlier runs that are not among them go */
  swatches?: CatalogueSwatches[];
  /** alloys of the table of colours; no table if none */
  colours?: string[];
  credit?: CreditPlan;
  /** absent: no feed */
  shop?: ShopPlan;
  parts?: CataloguePartFile[];
}

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
    const named = new Set(partFiles(items.flatMap((item) => item.bands)));
    await publishParts(
      outDir,
      (meta.parts ?? []).filter((p) => named.has(p.file)),
      report,
    );
    for (const item of items) await publishItem(outDir, item, report);
    const { entries, stale } = await collectEntries(outDir, items, meta.planned, report);
    const used = new Set(entries.flatMap((e) => e.bands.map((b) => b.model?.file)));
    const catalogue: Catalogue = {
      version: CATALOGUE_VERSION,
      catalogue: meta.catalogue,
      title: meta.title,
      workshop: meta.workshop,
      axes: meta.axes.map(({ name, values }) => ({
        name,
        values: values.map(({ label, slug }) => ({ label, slug })),
      })),
      items: entries,
      models: models.filter((m) => used.has(m.file)),
      ...(meta.swatches?.length ? { swatches: await publishSwatches(outDir, meta.swatches, report) } : {}),
      cautions: [...CAUTIONS],
    };
    await publishListings(outDir, catalogue, meta, report);
    await removeOldSwatches(outDir, before, catalogue);
    for (const sku of stale) {
      await removeFolder(outDir, sku);
      report.removed.push(sku);
    }
    for (const { file } of [...models, ...(before?.models ?? [])]) {
      if (!catalogue.models.some((m) => m.file === file)) await rm(join(outDir, file), { force: true });
    }
    await clearParts(outDir, entries);
    return report;
  } catch (error) {
    throw writeProblem(error, outDir);
  }
}

/** The catalogue.json of an earlier run; undefined if there is none or it cannot be read. */
export async function readCatalogue(outDir: string): Promise<Catalogue | undefined> {
  try {
    const parsed = catalogueSchema.safeParse(
      JSON.parse(await readFile(join(outDir, 'catalogue.json'), 'utf8')),
    );
    return parsed.success ? parsed.data : undefined;
  } catch {
    return undefined;
  }
}

async function publishItem(outDir: string, item: CatalogueItem, report: PublishReport): Promise<void> {
  const manifest: Manifest = { manifest: 'bandwright', version: CATALOGUE_VERSION, item: toEntry(item) };
  const text = `${JSON.stringify(manifest, null, 2)}\n`;
  const old = await readManifest(outDir, item.sku);
  if (old?.text === text && (await isComplete(outDir, manifest))) {
    report.unchanged.push(item.sku);
    return;
  }
  const files = item.shots.flatMap((shot) =>
    shot.pictures.map((picture) => ({
      name: pictureName(item.sku, shot.name, picture),
      data: async () => checkedBytes(picture, `${item.sku}, ${shot.name}`),
    })),
  );
  const documents = (item.documents ?? []).map(({ name, data }) => ({ name, data: async () => data }));
  await placeFolder(outDir, item.sku, [...files, ...documents], text);
  report.written.push(item.sku);
  const pictures = item.shots.flatMap((shot) => shot.pictures);
  report.bytesWritten += text.length + pictures.reduce((sum, p) => sum + p.bytes, 0);
}

/** A picture that is not the one its manifest will name must never be published. */
async function checkedBytes(picture: CataloguePicture, where: string): Promise<Uint8Array> {
  const data = typeof picture.data === 'function' ? await picture.data() : picture.data;
  if (data.length !== picture.bytes || sha256(data) !== picture.sha256) {
    throw new RangeError(`expected ${picture.bytes} bytes with hash ${picture.sha256} for ${where}`);
  }
  return data;
}

function toEntry(item: CatalogueItem): CatalogueEntry {
  const shots = item.shots.map(({ name, label, turn, alt, noise, pictures }) => ({
    name,
    label,
    ...(turn ? { turn } : {}),
    ...(alt === undefined ? {} : { alt }),
    noise,
    pictures: pictures.map((p) => ({
      file: `${item.sku}/${pictureName(item.sku, name, p)}`,
      role: p.role,
      ...(p.name === undefined ? {} : { name: p.name }),
      format: p.format,
      width: p.width,
      height: p.height,
      ...(p.fill === undefined ? {} : { fill: p.fill }),
      bytes: p.bytes,
      sha256: p.sha256,
    })),
  }));
  const { sku, kind, title, bands, cautions, keys, versions } = item;
  const documents = item.documents?.map((d) => ({
    kind: d.kind,
    file: `${sku}/${d.name}`,
    bytes: d.data.length,
    sha256: sha256(d.data),
  }));
  return { sku, kind, title, bands, shots, ...(documents ? { documents } : {}), cautions, keys, versions };
}

function pictureName(
  sku: string,
  shot: string,
  p: Pick<CataloguePicture, 'role' | 'name' | 'width' | 'extension'>,
): string {
  const name = p.name === undefined ? '' : `_${p.name}`; // shots have no underscore, so names cannot meet
  return `${sku}-${shot}${name}-${p.role === 'thumbnail' ? 'thumb' : p.width}.${p.extension}`;
}

async function publishModels(
  outDir: string,
  models: readonly CatalogueModel[],
  before: Catalogue | undefined,
  report: PublishReport,
): Promise<ModelEntry[]> {
  const entries = new Map<string, ModelEntry>();
  for (const old of before?.models ?? []) {
    const found = await stat(join(outDir, old.file)).catch(() => undefined);
    if (found?.size === old.bytes) entries.set(old.file, old);
  }
  for (const { file, shape, variants, data } of models) {
    if (!/^models\/[a-z0-9][\w.-]*\.glb$/i.test(file)) {
      throw new RangeError(`expected models/<name>.glb but received ${file}`);
    }
    const entry: ModelEntry = { file, shape, variants, bytes: data.length, sha256: sha256(data) };
    await writeIfChanged(outDir, file, data, report);
    entries.set(file, entry);
  }
  return [...entries.values()].sort((a, b) => (a.file < b.file ? -1 : 1));
}

/** Names carry content keys: a file of the right length is the right file. */
async function publishParts(
  outDir: string,
  parts: readonly CataloguePartFile[],
  report: PublishReport,
): Promise<void> {
  for (const { file, bytes, sha256: hash, data } of parts) {
    if (!/^models\/bench\/[a-z0-9][\w.-]*\.(stl|3mf)$/i.test(file))
      throw new RangeError(`expected models/bench/<name>.stl or .3mf but received ${file}`);
    const found = await stat(join(outDir, file)).catch(() => undefined);
    if (found?.size === bytes) continue;
    const read = await data();
    if (sha256(read) !== hash) throw new RangeError(`expected hash ${hash} for ${file}`);
    await writeIfChanged(outDir, file, read, report);
  }
}

function partFiles(bands: readonly BandFacts[]): string[] {
  return bands.flatMap((b) => b.caster?.parts.flatMap((p) => p.files.map((f) => f.file)) ?? []);
}

/** Parts that no item names any more go. */
async function clearParts(outDir: string, entries: readonly CatalogueEntry[]): Promise<void> {
  const named = new Set(partFiles(entries.flatMap((e) => e.bands)));
  for (const name of await readdir(join(outDir, PARTS)).catch(() => []))
    if (/\.(stl|3mf)$/.test(name) && !named.has(`${PARTS}/${name}`)) await rm(join(outDir, PARTS, name));
}

async function publishSwatches(
  outDir: string,
  swatches: readonly CatalogueSwatches[],
  report: PublishReport,
): Promise<SwatchEntry[]> {
  const publish = async ({ file, width, height, data }: SwatchFile) => {
    await writeIfChanged(outDir, file, data, report);
    return { file, width, height, bytes: data.length, sha256: sha256(data) };
  };
  const entries: SwatchEntry[] = [];
  for (const { shot, sheet, singles } of swatches) {
    const files = [];
    for (const s of singles) files.push({ ...(await publish(s)), sku: s.sku, caption: s.caption });
    entries.push({ shot, sheet: await publish(sheet), singles: files });
  }
  return entries;
}

async function removeOldSwatches(
  outDir: string,
  before: Catalogue | undefined,
  now: Catalogue,
): Promise<void> {
  const files = (c: Catalogue | undefined) =>
    (c?.swatches ?? []).flatMap(({ sheet, singles }) => [sheet.file, ...singles.map((s) => s.file)]);
  const used = new Set(files(now));
  for (const file of files(before)) if (!used.has(file)) await rm(join(outDir, file), { force: true });
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

async function publishListings(
  outDir: string,
  catalogue: Catalogue,
  { shop, credit, colours = [] }: CatalogueMeta,
  report: PublishReport,
): Promise<void> {
  await writeIfChanged(outDir, 'catalogue.json', `${JSON.stringify(catalogue, null, 2)}\n`, report);
  await writeIfChanged(outDir, 'catalogue.csv', catalogueCsv(catalogue), report);
  await writeIfChanged(outDir, 'catalogue.jsonld', catalogueJsonLd(catalogue, { shop, credit }), report);
  if (shop?.baseUrl === undefined) await rm(join(outDir, 'feed.csv'), { force: true });
  else
    await writeIfChanged(outDir, 'feed.csv', feedCsv(catalogue, { ...shop, baseUrl: shop.baseUrl }), report);
  if (colours.length > 0) await writeIfChanged(outDir, 'swatches/colours.csv', coloursCsv(colours), report);
  else await rm(join(outDir, 'swatches/colours.csv'), { force: true });
  await writeIfChanged(outDir, 'index.html', indexPage(catalogue), report);
}

async function writeIfChanged(
  outDir: string,
  file: string,
  data: Uint8Array | string,
  report: PublishReport,
): Promise<void> {
  const path = join(outDir, file);
  const bytes = Buffer.from(data as Uint8Array);
  const found = await stat(path).catch(() => undefined);
  if (found?.size === bytes.length && (await readFile(path)).equals(bytes)) return;
  await writeDurably(path, bytes);
  report.files.push(file);
  report.bytesWritten += bytes.length;
}

const PARTS = 'models/bench';
const RESERVED = new Set([
  'models',
  'index.html',
  'catalogue.json',
  'catalogue.jsonld',
  'catalogue.csv',
  'feed.csv',
]);
const WINDOWS_DEVICE = /^(con|prn|aux|nul|com\d|lpt\d)(\.|$)/i;

/** SKUs name folders on any file system, also those that do not tell upper from lower case. */
function checkSkus(skus: readonly string[]): void {
  const problems: Problem[] = [];
  const seen = new Map<string, string>();
  for (const sku of skus) {
    const lower = sku.toLowerCase();
    const sound =
      /^[a-z0-9]([\w.-]{0,118}\w)?$/i.test(sku) && !RESERVED.has(lower) && !WINDOWS_DEVICE.test(sku);
    const twin = seen.get(lower);
    if (!sound || twin !== undefined) {
      problems.push({
        code: twin === undefined ? 'sku-not-a-folder-name' : 'sku-twice',
        severity: 'error',
        path: sku,
        expected:
          twin === undefined ? 'letters, figures, - _ . (at most 120)' : 'SKUs that differ in more than case',
        received: twin === undefined ? JSON.stringify(sku) : `${twin} and ${sku}`,
        advice: 'Change the SKU pattern.',
      });
    }
    seen.set(lower, sku);
  }
  if (problems.length > 0) throw new ProblemError(problems);
}
