import { createHash } from 'node:crypto';
import { alloyRow } from '../facts/looks.ts';
import type { EncodedImage } from '../picture/encode.ts';
import { missingLetters } from '../picture/lettering.ts';
import { swatchCard } from '../picture/swatches.ts';
import type { Plan } from '../plan/plan.ts';
import type { CatalogueSwatches } from '../publish/catalogue.ts';
import { WHITE_LEVEL } from '../scene/ground.ts';
import type { ArtefactStore } from '../store/artefact-store.ts';
import { artefactKey } from '../store/content-key.ts';
import type { TradeWords } from '../trade/trade-words.ts';
import { tradeWords } from '../trade/words.ts';
import { messagesOf } from '../words/locale.ts';
import { decodeBundle, encodeBundle } from './picture-bundle.ts';
import { subjectsOf, titleOf } from './subject.ts';
import { loadFilm } from './take-run.ts';
import type { TakeWork } from './work.ts';

/** One sheet: every colourway of one take. */
export interface SheetWork {
  /** content key of its files */
  key: string;
  take: TakeWork;
  /** first SKU of each colourway, which names its file */
  skus: string[];
  captions: string[];
  /** those with a metal whose colour is not measured, and what is said of it below the sheet */
  unmeasured: { marked: boolean[]; note: string };
  /** of a metal's close-up: name of each single's file */
  files?: string[];
}

/** A sheet for every take of single bands that has two colourways or more. */
export function planSheets(plan: Plan, takes: readonly TakeWork[], engine: readonly string[]): SheetWork[] {
  if (!plan.swatches) return [];
  const subjects = new Map(subjectsOf(plan).map((s) => [s.sku, s]));
  const note = messagesOf(plan.language).unmeasured;
  const metals = takes.flatMap((take) =>
    take.take.metals ? [metalSheet(take, engine, tradeWords(plan.language, plan.market), note)] : [],
  );
  const bands = takes
    .filter(({ take }) => !take.metals && take.shot.view !== 'pair' && take.colourways.length > 1)
    .map((take) => {
      const skus = take.take.colourways.map((c) => c.pictures[0].sku);
      const captions = skus.map((sku) => {
        const title = titleOf(subjects.get(sku)!, messagesOf(plan.language).wording);
        // SKUs can always be drawn
        return missingLetters(title).length === 0 ? title : sku;
      });
      const unmeasured = { marked: unmeasuredIn(take), note };
      const key = artefactKey({
        layer: 'picture',
        engine,
        swatches: take.films,
        matte: take.matte,
        captions,
        unmeasured,
      });
      return { key, take, skus, captions, unmeasured };
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
function metalSheet(take: TakeWork, engine: readonly string[], words: TradeWords, note: string): SheetWork {
  const { metals = [], finishes, colourways } = take.take;
  const finish = finishes[0][0];
  const alloys = colourways.map((c) => c.dresses[0].alloys[0]);
  const captions = alloys.map((id) => `${words.alloyLabel(id)}, ${words.finish(finish)}`);
  const unmeasured = { marked: unmeasuredIn(take), note };
  const key = artefactKey({ layer: 'picture', engine, metals: take.films, captions, unmeasured });
  return {
    key,
    take,
    skus: [...metals],
    captions,
    unmeasured,
    files: alloys.map((id) => `metal-${id}-${finish}`),
  };
}

/** @returns false if a film is no longer in the store */
export async function makeSheet(store: ArtefactStore, sheet: SheetWork): Promise<boolean> {
  const swatches = [];
  const { marked, note } = sheet.unmeasured;
  for (const [i, key] of sheet.take.films.entries()) {
    const film = await loadFilm(store, key);
    if (!film) return false;
    swatches.push({ caption: `${sheet.captions[i]}${marked[i] ? ' *' : ''}`, film });
  }
  const matte = sheet.take.matte && (await loadFilm(store, sheet.take.matte));
  if (sheet.take.matte && !matte) return false;
  const made = await swatchCard(swatches, WHITE_LEVEL, {
    ...(matte ? { matte } : {}),
    whole: sheet.files !== undefined,
    ...(marked.some(Boolean) ? { note } : {}),
  });
  await store.put('picture', sheet.key, encodeBundle([made.card, ...made.singles].map(asImage)));
  return true;
}

function asImage({ data, width, height }: { data: Uint8Array; width: number; height: number }): EncodedImage {
  const sha256 = createHash('sha256').update(data).digest('hex');
  const common = { role: 'extra', format: 'png', extension: 'png', fill: 0 } as const;
  return { ...common, width, height, bytes: data.length, sha256, data };
}

/** Sheets that the store holds, ready to publish. */
export async function catalogueSwatches(
  store: ArtefactStore,
  sheets: readonly SheetWork[],
): Promise<CatalogueSwatches[]> {
  const found: CatalogueSwatches[] = [];
  for (const { key, take, skus, captions, files } of sheets) {
    const bundle = await store.get('picture', key);
    if (!bundle) continue;
    const [sheet, ...singles] = decodeBundle(bundle);
    const shot = take.take.shot.name;
    found.push({
      shot,
      sheet: { file: `swatches/${files ? shot : `${skus[0]}-${shot}`}-sheet.png`, ...sheet },
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
