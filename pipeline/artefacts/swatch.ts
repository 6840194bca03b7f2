import { createHash } from 'node:crypto';
import { alloyRow } from '../facts/looks.ts';
import { type EncodedImage, PICTURE_VERSION } from '../picture/encode.ts';
import { missingLetters } from '../picture/lettering.ts';
import { swatchCard } from '../picture/swatches.ts';
import type { Sku, Variant } from '../plan/plan.ts';
import type { CatalogueSwatches } from '../publish/catalogue.ts';
import { WHITE_LEVEL } from '../scene/ground.ts';
import type { ArtefactStore } from '../store/artefact-store.ts';
import type { ContentKey } from '../store/content-key.ts';
import { artefactKey } from '../store/content-key.ts';
import type { TradeWords } from '../trade/trade-words.ts';
import { tradeWords } from '../trade/words.ts';
import { messagesOf } from '../words/locale.ts';
import { loadShown, type Shown, shownOf } from './clean-film.ts';
import { FILM, type TakeWork, takeName } from './film.ts';
import type { Kind, Making, Planning, Source } from './kind.ts';
import { decodeBundle, encodeBundle } from './picture-bundle.ts';
import { subjectsOf, titleOf } from './subject.ts';

/** One sheet: every colourway of one take. */
export interface SwatchWork {
  /** content key of its files */
  key: ContentKey;
  take: TakeWork;
  shown: Shown;
  /** first SKU of each colourway, which names its file */
  skus: Sku[];
  captions: string[];
  /** those with a metal whose colour is not measured, and what is said of it below the sheet */
  unmeasured: { marked: boolean[]; note: string };
  /** of a metal's close-up: name of each single's file */
  files?: string[];
}

/** Swatch sheets: one for every take of single bands that has two colourways or more, and of the close-ups of metals. */
export const SWATCH: Kind<SwatchWork> = {
  name: 'swatch',
  code: ['picture/swatches.ts', 'artefacts/picture-bundle.ts'],
  shared: true,
  plan: planSwatches,
  skus: ({ skus }) => skus,
  take: ({ take }) => take.record,
  uses: ({ key }) => [`picture/${key}`],
  make: makeSwatches,
  costs: [
    {
      name: 'swatch',
      label: 'swatches',
      guess: { seconds: 0.4, bytes: 0.3e6 },
      copies: 2,
      count: ({ skus }) => skus.length,
    },
  ],
  publish: async (source) => ({
    swatches: await catalogueSwatches(source),
    colours: source.plan.swatches ? source.plan.variants.flatMap((v: Variant) => v.dress.alloys) : [],
  }),
};

function planSwatches(planning: Planning): SwatchWork[] {
  const { plan, versions, pieces } = planning;
  if (!plan.swatches) return [];
  const takes = pieces(FILM);
  const engine = [versions.swatch, PICTURE_VERSION];
  const subjects = new Map(subjectsOf(plan).map((s) => [s.sku, s]));
  const note = messagesOf(plan.language).unmeasured;
  const metals = takes.flatMap((take) =>
    take.take.metals
      ? [metalSheet(take, shownOf(take, planning), engine, tradeWords(plan.language, plan.market), note)]
      : [],
  );
  const bands = takes
    .filter(
      ({ take }) =>
        !take.metals && take.shot.view !== 'pair' && !take.shot.turn && take.colourways.length > 1,
    )
    .map((take) => {
      const skus = take.take.colourways.map((c) => c.pictures[0].sku);
      const captions = skus.map((sku) => {
        const title = titleOf(subjects.get(sku)!, messagesOf(plan.language).wording);
        // SKUs can always be drawn
        return missingLetters(title).length === 0 ? title : sku;
      });
      const unmeasured = { marked: unmeasuredIn(take), note };
      const shown = shownOf(take, planning);
      const key = artefactKey({
        layer: 'picture',
        engine,
        swatches: shown.films,
        matte: take.matte,
        captions,
        unmeasured,
      });
      return { key, take, shown, skus, captions, unmeasured };
    });
  return [...bands, ...metals];
}

/** Of each colourway, whether it shows a metal whose colour is not measured. */
function unmeasuredIn({ take: { colourways } }: TakeWork): boolean[] {
  return colourways.map(({ dresses }) =>
    dresses.some(({ alloys }) => alloys.some((id) => alloyRow(id).colour === 'unmeasured')),
  );
}

/** Close-ups of all metals in one finish; each counts for the first SKU that wears it. */
function metalSheet(
  take: TakeWork,
  shown: Shown,
  engine: readonly string[],
  words: TradeWords,
  note: string,
): SwatchWork {
  const { metals = [], finishes, colourways } = take.take;
  const finish = finishes[0][0];
  const alloys = colourways.map((c) => c.dresses[0].alloys[0]);
  const captions = alloys.map((id) => `${words.alloyLabel(id)}, ${words.finish(finish)}`);
  const unmeasured = { marked: unmeasuredIn(take), note };
  const key = artefactKey({ layer: 'picture', engine, metals: shown.films, captions, unmeasured });
  return {
    key,
    take,
    shown,
    skus: [...metals],
    captions,
    unmeasured,
    files: alloys.map((id) => `metal-${id}-${finish}`),
  };
}

async function makeSwatches(work: SwatchWork, { store, costs, report }: Making): Promise<void> {
  const start = performance.now();
  const bundle = await drawSwatches(work, store);
  if (!bundle) {
    const message = `no swatches of ${takeName(work.take)}: its films are not in the store`;
    report({ event: 'warning', message });
    return;
  }
  await store.put('picture', work.key, bundle);
  costs.recordPieces('swatch', (performance.now() - start) / 1000, bundle.length, work.skus.length);
}

/** @returns undefined if a film is no longer in the store */
async function drawSwatches(work: SwatchWork, store: ArtefactStore): Promise<Uint8Array | undefined> {
  const swatches = [];
  const { marked, note } = work.unmeasured;
  const { take, shown } = work;
  for (const [i, key] of shown.films.entries()) {
    const film = await loadShown(store, take, shown, key);
    if (!film) return undefined;
    swatches.push({ caption: `${work.captions[i]}${marked[i] ? ' *' : ''}`, film });
  }
  const matte = shown.matte && (await loadShown(store, take, shown, shown.matte));
  if (shown.matte && !matte) return undefined;
  const made = await swatchCard(swatches, WHITE_LEVEL, {
    ...(matte ? { matte } : {}),
    whole: work.files !== undefined,
    ...(marked.some(Boolean) ? { note } : {}),
  });
  return encodeBundle([made.card, ...made.singles].map(asImage));
}

function asImage({ data, width, height }: { data: Uint8Array; width: number; height: number }): EncodedImage {
  const sha256 = createHash('sha256').update(data).digest('hex');
  const common = { role: 'extra', format: 'png', extension: 'png', fill: 0 } as const;
  return { ...common, width, height, bytes: data.length, sha256, data };
}

/** Sheets that the store holds, ready to publish. */
async function catalogueSwatches({ store, pieces }: Source): Promise<CatalogueSwatches[]> {
  const found: CatalogueSwatches[] = [];
  for (const { key, take, skus, captions, files } of pieces(SWATCH)) {
    const bundle = await store.get('picture', key);
    if (!bundle) continue;
    const [card, ...singles] = decodeBundle(bundle);
    const shot = take.take.shot.name;
    found.push({
      shot,
      card: { file: `swatches/${files ? shot : `${skus[0]}-${shot}`}-sheet.png`, ...card },
      singles: singles.map((single, i) => ({
        ...single,
        file: `swatches/${files ? files[i] : `${skus[i]}-${shot}-swatch`}.png`,
        sku: skus[i],
        caption: captions[i],
      })),
    });
  }
  return found;
}
