import type { Pair, Variant } from '../catalogue/plan.ts';
import type {
  CatalogueDocument,
  CatalogueItem,
  CatalogueModel,
  CatalogueShot,
} from '../publish/catalogue.ts';
import type { BandFacts } from '../publish/catalogue-schema.ts';
import { stoneListCsv } from '../publish/stone-list.ts';
import type { ArtefactStore } from '../publish/store.ts';
import { bandFacts, cautionsOf } from './band-facts.ts';
import { casterFacts } from './parts.ts';
import { decodeBundle } from './picture-bundle.ts';
import { sheetDocuments, sheetOf } from './sheets.ts';
import { decodeFacts, type SolidFacts } from './solid-facts.ts';
import { loadRecord } from './take-run.ts';
import type { ModelWork, TakeWork, Work } from './work.ts';

/** What people read under a picture. */
const VIEW_LABELS = {
  'three-quarter': 'Three-quarter view',
  front: 'Front view through the finger hole',
  'flat-lay': 'Flat lay from above',
  pair: 'The pair together',
} as const;

export interface ItemSource {
  work: Work;
  store: ArtefactStore;
  versions: Record<string, string>;
}

export interface Subject {
  sku: string;
  kind: 'variant' | 'pair';
  bands: Variant[];
}

export function subjectsOf({ plan }: Work): Subject[] {
  return [
    ...plan.variants.map((v): Subject => ({ sku: v.sku, kind: 'variant', bands: [v] })),
    ...plan.pairs.map((p: Pair): Subject => ({ sku: p.sku, kind: 'pair', bands: [p.left, p.right] })),
  ];
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
    const c = take.take.colourways.findIndex((w) => w.pictures.some((p) => p.sku === subject.sku));
    if (c < 0) continue;
    const shot = await loadShot(take, c, source);
    if (!shot) return { missing: `picture ${take.take.shot.name}` };
    keys[`film ${shot.name}`] = take.films[c];
    shots.push(shot);
  }
  const order = work.plan.shots.map((s) => s.name);
  shots.sort((a, b) => order.indexOf(a.name) - order.indexOf(b.name));
  const { sku, kind } = subject;
  const cautions = cautionsOf(subject.bands);
  return {
    item: {
      sku,
      kind,
      title: titleOf(subject),
      bands,
      shots,
      ...(await documentsOf(bands, source)),
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
    bands.push(bandFacts(band, facts, modelOf(band, work.models), caster));
  }
  return bands;
}

async function documentsOf(
  bands: readonly BandFacts[],
  { work, store }: ItemSource,
): Promise<Pick<CatalogueItem, 'documents'>> {
  if (!work.plan.caster && !work.plan.sheets) return {};
  const documents = work.plan.caster ? stoneLists(bands) : [];
  if (work.plan.sheets)
    for (const band of bands) documents.push(...(await sheetDocuments(sheetOf(band, work), store)));
  return { documents };
}

/** One for each band with stones. */
function stoneLists(bands: readonly BandFacts[]): CatalogueDocument[] {
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
  c: number,
  { work, store }: ItemSource,
): Promise<CatalogueShot | undefined> {
  const record = await loadRecord(store, take.record);
  const bundle = await store.get('picture', take.pictures[c]);
  if (!record || !bundle) return undefined;
  return {
    name: take.take.shot.name,
    label: VIEW_LABELS[take.take.shot.view],
    noise: { target: work.plan.quality.noise, reached: record.error, passes: record.passes },
    // bytes are fetched again only if they must be written: a thousand items would not fit in memory
    pictures: decodeBundle(bundle).map(({ data: _, ...entry }, i) => ({
      ...entry,
      data: async () => {
        const bytes = await store.get('picture', take.pictures[c]);
        if (!bytes)
          throw new Error(`picture ${take.pictures[c]} left the store while it was being published`);
        return decodeBundle(bytes)[i].data;
      },
    })),
  };
}

export async function loadFacts(store: ArtefactStore, key: string): Promise<SolidFacts | undefined> {
  const bytes = await store.get('solid', key);
  return bytes && decodeFacts(bytes);
}

/** Colours first; sizes and widths stand in the facts right below. A pair has one title: it shares its metals. */
function titleOf(subject: Subject): string {
  const [band] = subject.bands;
  const looks = Object.entries(band.axes).filter(([axis]) => axis !== 'size' && axis !== 'width');
  const labels = (looks.length > 0 ? looks : Object.entries(band.axes)).map(([, label]) => label);
  return labels.join(', ');
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
    models.push({ file: modelFile(model), shape: work.solids[model.shape], variants, data });
  }
  return models;
}
