import { createHash } from 'node:crypto';
import { readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { assembleItem, ITEM } from '../artefacts/item.ts';
import type { Source } from '../artefacts/kind.ts';
import { lackWording } from '../artefacts/lacking.ts';
import { factsOfBands } from '../artefacts/solid.ts';
import type { Sku } from '../plan/plan.ts';
import { isRefused } from '../problem.ts';
import {
  CASTER_NOTE,
  type CatalogueItem,
  type CatalogueMeta,
  type KeyedFile,
  type PublishReport,
  publishCatalogue,
} from '../publish/catalogue.ts';
import type { ArtefactName } from '../store/artefact-store.ts';
import { readOwn } from '../store/own-file.ts';
import { feedWarnings } from './feed-warnings.ts';
import type { Job } from './job.ts';
import { readPublished, writePublished } from './published-record.ts';
import { artefactsOf } from './work.ts';

/** A catalogue as the store has it, before anything is published. */
export interface Assembled {
  items: CatalogueItem[];
  meta: CatalogueMeta;
  /** SKU → the first thing the store lacks for it */
  missing: Map<Sku, string>;
  uses: ArtefactName[];
}

/** Reads, and so checks, everything that goes into the catalogue. */
export async function assembleCatalogue(job: Job): Promise<Assembled> {
  const source = job.source();
  const items: CatalogueItem[] = [];
  const missing = new Map<Sku, string>();
  const uses = new Set(artefactsOf(job.place.work));
  for (const subject of source.pieces(ITEM)) {
    if (!job.wanted(subject.sku)) continue;
    const facts = await factsOfBands(subject.bands, source);
    if (isRefused(facts)) {
      missing.set(subject.sku, lackWording(facts));
      continue;
    }
    for (const kind of source.kinds)
      for (const band of facts) for (const name of kind.usesOf?.(band, source) ?? []) uses.add(name);
    const assembled = await assembleItem(subject, facts, source);
    if (isRefused(assembled)) missing.set(subject.sku, lackWording(assembled));
    else items.push(assembled);
  }
  return { items, meta: await metaOf(source), missing, uses: [...uses] };
}

/** What the kinds have to publish, together; lists of several are joined. */
async function metaOf(source: Source): Promise<CatalogueMeta> {
  const { plan, kinds } = source;
  const meta: CatalogueMeta = {
    catalogue: plan.catalogue,
    title: plan.title,
    workshop: plan.workshop,
    language: plan.language,
    ...(plan.market ? { market: plan.market.country } : {}),
    axes: plan.axes,
    planned: source.pieces(ITEM).map(({ sku }) => sku),
    models: [],
    credit: plan.credit,
    shop: plan.shop,
    names: plan.names,
    pageChecks: plan.pageChecks,
  };
  const keyed: KeyedFile[] = [];
  for (const kind of kinds) {
    const own = await kind.publish?.(source);
    keyed.push(...(own?.keyed ?? []));
    Object.assign(meta, own);
  }
  return { ...meta, keyed };
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
    .filter((n) =>
      /^(catalogue\.|feed\.|shop-import\.|changes\.|(index|comparison)\.html$|sitemap\.xml$)/.test(n),
    )
    .sort();
  const hashes: Record<string, string> = {};
  for (const folder of ['models', 'page', 'products'])
    for (const name of (await readdir(join(outDir, folder)).catch(() => [])).sort())
      if (/\.(js|css|html)$/.test(name)) names.push(`${folder}/${name}`);
  for (const name of [...names, 'swatches/colours.csv', CASTER_NOTE]) {
    const bytes = await readOwn(join(outDir, name)).catch(() => undefined);
    if (bytes) hashes[name] = createHash('sha256').update(bytes).digest('hex');
  }
  return hashes;
}
