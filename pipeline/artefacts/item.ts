import { cautionsOf } from '../facts/band-facts.ts';
import type { BandFacts } from '../facts/catalogue-schema.ts';
import { PROOF_IMAGES } from '../plan/client-plan.ts';
import type { Plan, TakePlan } from '../plan/plan.ts';
import type { Result } from '../problem.ts';
import type { CatalogueItem, CatalogueShot } from '../publish/catalogue.ts';
import { ArtefactLost } from '../store/artefact-store.ts';
import { messagesOf } from '../words/locale.ts';
import type { Messages } from '../words/messages.ts';
import { stoneLists } from './bench-files.ts';
import { loadRecord } from './film-store.ts';
import { grouped } from './grouped.ts';
import type { Kind, Source } from './kind.ts';
import { lacking } from './lacking.ts';
import { PICTURE, type PictureWork } from './picture.ts';
import { decodeBundle } from './picture-bundle.ts';
import { sheetDocuments } from './sheet.ts';
import { solidKey } from './solid.ts';
import { type Subject, subjectsOf, titleOf } from './subject.ts';

/** Items of the catalogue: made of what the other kinds have made, and kept in its folder alone. */
export const ITEM: Kind<Subject> = {
  name: 'item',
  code: ['publish/catalogue.ts', 'page/reader/page.ts', 'page/reader/viewer.ts'],
  plan: ({ plan }) => subjectsOf(plan),
  skus: ({ sku }) => [sku],
  lacking: async () => true,
};

const bySku = ({ skus }: PictureWork) => skus;

/**
 * An item from what the store holds; refused for the first picture that is not there.
 * @param facts of its bands, with what their maker keeps
 */
export async function assembleItem(
  subject: Subject,
  facts: readonly BandFacts[],
  source: Source,
): Promise<Result<CatalogueItem>> {
  const { plan, pieces } = source;
  const keys = Object.fromEntries(subject.bands.map((b) => [`solid ${b.sku}`, solidKey(b.shape, source)]));
  const shots: CatalogueShot[] = [];
  for (const picture of grouped(pieces(PICTURE), bySku).get(subject.sku) ?? []) {
    const shot = await loadShot(picture, source);
    if (!shot) return lacking(`no picture ${picture.take.take.shot.name}`, subject.sku);
    keys[`film ${shot.name}`] = picture.take.films[picture.colourway];
    if (picture.shown.filtered) keys[`filtered film ${shot.name}`] = picture.shown.films[picture.colourway];
    shots.push(shot);
  }
  const order = plan.shots.map((s) => s.name);
  shots.sort((a, b) => order.indexOf(a.name) - order.indexOf(b.name));
  const { sku, kind } = subject;
  return {
    sku,
    kind,
    title: titleOf(subject, messagesOf(plan.language).wording),
    bands: facts.map((band) => publicBand(band, plan)),
    shots,
    ...(await documentsOf(facts, source)),
    ...(plan.filePattern === undefined ? {} : { filePattern: plan.filePattern }),
    cautions: cautionsOf(subject.bands, plan.language, plan.market),
    keys,
    versions: source.versions,
  };
}

async function documentsOf(
  bands: readonly BandFacts[],
  source: Source,
): Promise<Pick<CatalogueItem, 'documents'>> {
  const { caster, sheets, publishSheets } = source.plan;
  if (!caster?.publish && !publishSheets) return {};
  const documents = caster?.publish ? stoneLists(bands, source.plan) : [];
  if (sheets && publishSheets)
    for (const band of bands) documents.push(...(await sheetDocuments(band, source)));
  return { documents };
}

/** A band without what its maker keeps: whoever has the caster's files can have it cast. */
function publicBand({ caster, ...band }: BandFacts, { caster: planned }: Plan): BandFacts {
  return caster && planned?.publish ? { ...band, caster } : band;
}

function shotLabel({ shot: { view, turn }, shapes }: TakePlan, messages: Messages): string {
  const { views, frameOf } = messages;
  if (view === 'pair' && shapes.length > 2) return messages.threeTogether;
  return turn ? `${views[view]}, ${frameOf(turn.frame, turn.of)}` : views[view];
}

async function loadShot(
  { take, shown, key, alt }: PictureWork,
  { store, records, plan }: Source,
): Promise<CatalogueShot | undefined> {
  const record = await loadRecord(records, take.record);
  const bundle = await store.get('picture', key);
  if (!record || !bundle) return undefined;
  const { shot } = take.take;
  const { turn } = shot;
  return {
    name: shot.name,
    label: shotLabel(take.take, messagesOf(plan.language)),
    ...(turn ? { turn: { frame: turn.frame, of: turn.of } } : {}),
    alt,
    ...(record.frameMm === undefined ? {} : { frameMm: record.frameMm }),
    noise: {
      target: take.noise,
      reached: record.error,
      passes: record.passes,
      filtered: shown.filtered,
    },
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
      .filter(({ name }) => name !== PROOF_IMAGES),
  };
}
