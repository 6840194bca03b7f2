import { bandFacts, cautionsOf } from '../facts/band-facts.ts';
import type { BandFacts } from '../facts/catalogue-schema.ts';
import { decodeFacts, type SolidFacts } from '../facts/solid-facts.ts';
import { stoneListCsv } from '../papers/stone-list.ts';
import { PROOF } from '../plan/client-plan.ts';
import type { Plan, ShotPlan, Variant } from '../plan/plan.ts';
import type {
  CatalogueDocument,
  CatalogueItem,
  CatalogueModel,
  CatalogueShot,
} from '../publish/catalogue.ts';
import { ArtefactLost, type ArtefactStore } from '../store/artefact-store.ts';
import { messagesOf } from '../words/locale.ts';
import type { Messages } from '../words/messages.ts';
import { ownModelFacts } from './own-models.ts';
import { casterFacts } from './parts.ts';
import { decodeBundle } from './picture-bundle.ts';
import { sheetDocuments, sheetOf } from './sheets.ts';
import { type Subject, titleOf } from './subject.ts';
import { loadRecord } from './take-run.ts';
import { viewerModel } from './viewer-models.ts';
import type { ModelWork, PictureWork, TakeWork, Work } from './work.ts';

function shotLabel({ view, turn }: ShotPlan, { views, frameOf }: Messages): string {
  return turn ? `${views[view]}, ${frameOf(turn.frame, turn.of)}` : views[view];
}

export interface ItemSource {
  work: Work;
  store: ArtefactStore;
  versions: Record<string, string>;
}

/** An item from what the store holds, or the name of the first thing that is missing. */
export async function assembleItem(
  subject: Subject,
  source: ItemSource,
): Promise<{ item: CatalogueItem } | { missing: string }> {
  const { work } = source;
  const bands = await bandsOfSubject(subject, source);
  if ('missing' in bands) return bands;
  const keys = Object.fromEntries(subject.bands.map((b) => [`solid ${b.sku}`, work.solids[b.shape]]));
  const shots: CatalogueShot[] = [];
  for (const take of work.takes) {
    const picture = take.pictures.find((p) => p.skus.includes(subject.sku));
    if (!picture) continue;
    const shot = await loadShot(take, picture, source);
    if (!shot) return { missing: `picture ${take.take.shot.name}` };
    keys[`film ${shot.name}`] = take.films[picture.colourway];
    shots.push(shot);
  }
  const order = work.plan.shots.map((s) => s.name);
  shots.sort((a, b) => order.indexOf(a.name) - order.indexOf(b.name));
  const { sku, kind } = subject;
  const cautions = cautionsOf(subject.bands, work.plan.language, work.plan.market);
  return {
    item: {
      sku,
      kind,
      title: titleOf(subject, messagesOf(work.plan.language).wording),
      bands: bands.map((band) => publicBand(band, work.plan)),
      shots,
      ...(await documentsOf(bands, source)),
      ...(work.plan.filePattern === undefined ? {} : { filePattern: work.plan.filePattern }),
      cautions,
      keys,
      versions: source.versions,
    },
  };
}

/** Facts of a subject's bands, or what is missing for them. */
export async function bandsOfSubject(
  subject: Subject,
  source: Pick<ItemSource, 'work' | 'store'>,
): Promise<BandFacts[] | { missing: string }> {
  const { work, store } = source;
  const bands: BandFacts[] = [];
  for (const band of subject.bands) {
    const facts = await loadFacts(store, work.solids[band.shape]);
    if (!facts) return { missing: `solids of ${band.sku}` };
    const caster = await casterFacts(band, facts, source);
    const models = { model: modelOf(band, work.models), ownModels: await ownModelFacts(band, source) };
    bands.push(bandFacts(band, facts, work.plan, models, caster));
  }
  return bands;
}

async function documentsOf(
  bands: readonly BandFacts[],
  { work, store }: ItemSource,
): Promise<Pick<CatalogueItem, 'documents'>> {
  const { caster, sheets, publishSheets } = work.plan;
  if (!caster?.publish && !publishSheets) return {};
  const documents = caster?.publish ? stoneLists(bands) : [];
  if (sheets && publishSheets)
    for (const band of bands) documents.push(...(await sheetDocuments(sheetOf(band, work), store)));
  return { documents };
}

/** A band without what its maker keeps: whoever has the caster's files can have it cast. */
function publicBand({ caster, ...band }: BandFacts, { caster: planned }: Plan): BandFacts {
  return caster && planned?.publish ? { ...band, caster } : band;
}

/** One for each band with stones. */
export function stoneLists(bands: readonly BandFacts[]): CatalogueDocument[] {
  return bands
    .filter((band) => band.stoneCount > 0)
    .map((band) => ({
      kind: 'stone-list',
      name: `${band.sku}-stones.csv`,
      data: Buffer.from(stoneListCsv(band)),
    }));
}

async function loadShot(
  take: TakeWork,
  { key, alt }: PictureWork,
  { store, work }: ItemSource,
): Promise<CatalogueShot | undefined> {
  const record = await loadRecord(store, take.record);
  const bundle = await store.get('picture', key);
  if (!record || !bundle) return undefined;
  const { turn } = take.take.shot;
  return {
    name: take.take.shot.name,
    label: shotLabel(take.take.shot, messagesOf(work.plan.language)),
    ...(turn ? { turn: { frame: turn.frame, of: turn.of } } : {}),
    alt,
    ...(record.frameMm === undefined ? {} : { frameMm: record.frameMm }),
    noise: { target: take.noise, reached: record.error, passes: record.passes },
    // bytes are fetched again only if they must be written: a thousand items would not fit in memory
    pictures: decodeBundle(bundle)
      .map(({ data: _, ...entry }, i) => ({
        ...entry,
        data: async () => {
          const bytes = await store.get('picture', key);
          if (!bytes) throw new ArtefactLost(`picture ${key} left the store while it was being published`);
          return decodeBundle(bytes)[i].data;
        },
      }))
      .filter(({ name }) => name !== PROOF),
  };
}

export async function loadFacts(store: ArtefactStore, key: string): Promise<SolidFacts | undefined> {
  const bytes = await store.get('solid', key);
  return bytes && decodeFacts(bytes);
}

/** File of a shape's model. Keyed by content, so a page never shows an old model under a new name. */
export function modelFile(model: ModelWork): string {
  return `models/band-${model.key.slice(0, 12)}.glb`;
}

function modelOf(band: Variant, models: readonly ModelWork[]): { file: string; variant: string } | undefined {
  for (const model of models) {
    const colourway = model.colourways.find(
      (c) => model.shape === band.shape && c.variants.some((v) => v.sku === band.sku),
    );
    if (colourway) return { file: modelFile(model), variant: colourway.name };
  }
  return undefined;
}

export async function catalogueModels({ work, store }: ItemSource): Promise<CatalogueModel[]> {
  const models: CatalogueModel[] = [];
  for (const model of work.models) {
    const data = await store.get('model', model.key);
    if (!data) continue;
    const variants = model.colourways.map((c) => c.name);
    const viewer = () => viewerModel(store, model);
    models.push({ file: modelFile(model), shape: work.solids[model.shape], variants, data, viewer });
  }
  return models;
}
