import { join } from 'node:path';
import { MODEL_VERSION } from '../model/glb.ts';
import { PICTURE_VERSION } from '../picture/encode.ts';
import { type PublishReport, publishCatalogue } from '../publish/catalogue.ts';
import { feedWarnings } from './feed-warnings.ts';
import { assembleItem, catalogueModels } from './items.ts';
import type { Job } from './job.ts';
import { catalogueParts } from './parts.ts';
import { subjectsOf } from './subject.ts';
import { catalogueSwatches } from './swatch-work.ts';
import { layerVersions } from './version.ts';

/** Publishes what the store holds of a job's catalogue; items that lack something fail. @returns also how many items */
export async function publishJob(job: Job): Promise<PublishReport & { made: number }> {
  const { report, out } = job.options;
  const { work, store } = job.place;
  const versions = { ...layerVersions(), encoder: PICTURE_VERSION, modelFormat: MODEL_VERSION };
  const source = { work, store, versions };
  const items = [];
  for (const subject of subjectsOf(work.plan)) {
    if (!job.wanted(subject.sku)) continue;
    const assembled = await assembleItem(subject, source);
    if ('item' in assembled) items.push(assembled.item);
    else job.fail([subject.sku], `incomplete: ${assembled.missing}`);
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
  return { ...published, made: items.length };
}
