import { createHash } from 'node:crypto';
import { readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { MODEL_VERSION } from '../model/glb.ts';
import { PICTURE_VERSION } from '../picture/encode.ts';
import {
  CASTER_NOTE,
  type CatalogueItem,
  type CatalogueMeta,
  type PublishReport,
  publishCatalogue,
} from '../publish/catalogue.ts';
import { readOwn } from '../store/own-file.ts';
import { type ArtefactName, artefactsOf } from './artefacts.ts';
import { casterNote } from './bench-files.ts';
import { catalogueComparisons } from './comparing.ts';
import { feedWarnings } from './feed-warnings.ts';
import { assembleItem, bandsOfSubject, catalogueModels } from './items.ts';
import type { Job } from './job.ts';
import { catalogueOwnModels } from './own-models.ts';
import { catalogueParts } from './parts.ts';
import { readPublished, writePublished } from './published-record.ts';
import { sheetOf } from './sheets.ts';
import { subjectsOf } from './subject.ts';
import { catalogueSwatches } from './swatch-work.ts';

/** A catalogue as the store has it, before anything is published. */
export interface Assembled {
  items: CatalogueItem[];
  meta: CatalogueMeta;
  /** SKU → the first thing the store lacks for it */
  missing: Map<string, string>;
  uses: ArtefactName[];
}

/** Reads, and so checks, everything that goes into the catalogue. */
export async function assembleCatalogue(job: Job): Promise<Assembled> {
  const { work, store, versions: layers } = job.place;
  const versions = { ...layers, encoder: PICTURE_VERSION, modelFormat: MODEL_VERSION };
  const source = { work, store, versions };
  const items: CatalogueItem[] = [];
  const missing = new Map<string, string>();
  const uses = new Set(artefactsOf(work));
  for (const subject of subjectsOf(work.plan)) {
    if (!job.wanted(subject.sku)) continue;
    const assembled = await assembleItem(subject, source);
    if ('item' in assembled) items.push(assembled.item);
    else missing.set(subject.sku, assembled.missing);
    const bands = work.plan.sheets ? await bandsOfSubject(subject, source) : [];
    if (!('missing' in bands)) for (const band of bands) uses.add(`sheet/${sheetOf(band, work).key}`);
  }
  const { plan } = work;
  const meta = {
    catalogue: plan.catalogue,
    title: plan.title,
    workshop: plan.workshop,
    language: plan.language,
    ...(plan.market ? { market: plan.market.country } : {}),
    axes: plan.axes,
    planned: subjectsOf(plan).map((s) => s.sku),
    models: await catalogueModels(source),
    swatches: await catalogueSwatches(store, work.swatches),
    comparisons: await catalogueComparisons(source),
    colours: plan.swatches ? plan.variants.flatMap((v) => v.dress.alloys) : [],
    credit: plan.credit,
    shop: plan.shop,
    pageChecks: plan.pageChecks,
    keyed: [
      ...(plan.caster?.publish ? await catalogueParts(source) : []),
      ...(await catalogueOwnModels(source)),
    ],
    ...(plan.caster?.publish ? { casterNote: casterNote(work) } : {}),
  };
  return { items, meta, missing, uses: [...uses] };
}

/** Publishes, and keeps a record of what was published from what. */
export async function publishJob(job: Job, { items, meta, uses }: Assembled): Promise<PublishReport> {
  const { report, out } = job.options;
  for (const message of feedWarnings(items)) report({ event: 'warning', message });
  const known = await readPublished(out, meta.catalogue);
  const both = [...new Set([...(known?.uses ?? []), ...uses])];
  const outDir = join(out, meta.catalogue);
  // while it is being published the folder is of both
  const same = known?.listings && both.length === known.uses.length;
  if (!same) await writePublished(out, meta.catalogue, { uses: both });
  const published = await publishCatalogue(outDir, items, meta);
  const now = published.kept.length > 0 ? both : uses;
  const listings = await hashListings(outDir);
  const equal = JSON.stringify([now, listings]) === JSON.stringify([known?.uses, known?.listings]);
  if (!equal) await writePublished(out, meta.catalogue, { uses: now, listings });
  return published;
}

/** SHA-256 of the files that list a whole catalogue, by path in its folder. */
async function hashListings(outDir: string): Promise<Record<string, string>> {
  const names = (await readdir(outDir))
    .filter((n) => /^(catalogue\.|feed\.|(index|comparison)\.html$)/.test(n))
    .sort();
  const hashes: Record<string, string> = {};
  for (const folder of ['models', 'page'])
    for (const name of (await readdir(join(outDir, folder)).catch(() => [])).sort())
      if (name.endsWith('.js')) names.push(`${folder}/${name}`);
  for (const name of [...names, 'swatches/colours.csv', CASTER_NOTE]) {
    const bytes = await readOwn(join(outDir, name)).catch(() => undefined);
    if (bytes) hashes[name] = createHash('sha256').update(bytes).digest('hex');
  }
  return hashes;
}
