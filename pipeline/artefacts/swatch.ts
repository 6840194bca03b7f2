import { createHash } from 'node:crypto';
import { alloyRow } from '../facts/looks.ts';
import { type EncodedImage, PICTURE_VERSION } from '../picture/encode.ts';
import { missingLetters } from '../picture/lettering.ts';
import type { Logo } from '../picture/logo.ts';
import { pdfSheet } from '../picture/pdf-sheet.ts';
import { pngWithXmp } from '../picture/png-xmp.ts';
import { SHEET_DPI } from '../picture/swatch-sheet.ts';
import { swatchCard } from '../picture/swatches.ts';
import { xmpPacket } from '../picture/xmp.ts';
import type { CreditPlan, Plan, ShotName, Sku, TakePlan, Variant } from '../plan/plan.ts';
import type { CatalogueSwatches } from '../publish/catalogue.ts';
import { WHITE_LEVEL } from '../scene/ground.ts';
import type { ArtefactStore } from '../store/artefact-store.ts';
import type { ContentKey } from '../store/content-key.ts';
import { artefactKey } from '../store/content-key.ts';
import { alloyColour } from '../trade/colour-table.ts';
import { tradeWords } from '../trade/words.ts';
import { localeOf, messagesOf } from '../words/locale.ts';
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
  /** what each is made of, in lines */
  lines: string[][];
  /** those with a metal whose colour is not measured, and what is said of it below the sheet */
  unmeasured: { marked: boolean[]; note: string };
  head: { title: string; workshop: string; language: string };
  credit: CreditPlan;
  /** of a metal's close-up: name of each single's file */
  files?: string[];
}

/** Swatch sheets: one for every take of single bands that has two colourways or more, and of the close-ups of metals. */
export const SWATCH: Kind<SwatchWork> = {
  name: 'swatch',
  code: ['picture/swatches.ts', 'picture/pdf-sheet.ts', 'picture/png-xmp.ts', 'artefacts/picture-bundle.ts'],
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
    take.take.metals ? [metalSheet(take, planning, engine, note)] : [],
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
      const shown = shownOf(take, planning);
      const told = {
        captions,
        lines: take.take.colourways.map((_, i) => drawableLines(detailLines(take.take, i, skus[i], plan))),
        unmeasured: { marked: unmeasuredIn(take), note },
        head: headOf(plan, plan.shots.find((s) => s.name === take.take.shot.name)?.view),
        credit: plan.credit,
      };
      const key = artefactKey({
        layer: 'picture',
        engine,
        swatches: shown.films,
        matte: take.matte,
        logo: logoHash(planning),
        ...told,
      });
      return { key, take, shown, skus, ...told };
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
function metalSheet(take: TakeWork, planning: Planning, engine: readonly string[], note: string): SwatchWork {
  const { plan } = planning;
  const words = tradeWords(plan.language, plan.market);
  const shown = shownOf(take, planning);
  const { metals = [], finishes, colourways } = take.take;
  const finish = finishes[0][0];
  const alloys = colourways.map((c) => c.dresses[0].alloys[0]);
  const told = {
    captions: alloys.map((id) => `${words.alloyLabel(id)}, ${words.finish(finish)}`),
    lines: alloys.map((id) => drawableLines([words.alloy(id), colourLine(id, plan)])),
    unmeasured: { marked: unmeasuredIn(take), note },
    head: headOf(plan),
    credit: plan.credit,
  };
  const key = artefactKey({
    layer: 'picture',
    engine,
    metals: shown.films,
    logo: logoHash(planning),
    ...told,
  });
  return { key, take, shown, skus: [...metals], ...told, files: alloys.map((id) => `metal-${id}-${finish}`) };
}

/** Alloys with their colours, finishes, and stones, of one colourway. */
function detailLines({ colourways, finishes }: TakePlan, i: number, sku: Sku, plan: Plan): string[] {
  const words = tradeWords(plan.language, plan.market);
  const [dress] = colourways[i].dresses;
  const variant = plan.variants.find((v) => v.sku === sku);
  const stones = dress.stones.map((id, k) =>
    words.stone(id, variant?.origins[k] ?? 'natural', variant?.treatments[k] ?? []),
  );
  const alloys = [...new Set(dress.alloys)];
  return [
    ...alloys.flatMap((id) => [words.alloy(id), colourLine(id, plan)]),
    [...new Set(finishes[0])].map((id) => words.finish(id)).join(', '),
    ...(variant ? [...new Set(stones)] : []),
  ].filter(Boolean);
}

/** The colour of the polished metal as in `colours.csv`, and whether it was ever measured. */
function colourLine(alloy: string, { language }: Plan): string {
  const { srgb, lab, alloy: row } = alloyColour(alloy);
  const { messages, number } = localeOf(language);
  const code = `#${srgb.map((c) => c.toString(16).padStart(2, '0')).join('')}`;
  const [l, a, b] = lab.map((v) => number(v, 0, 0));
  const said = `sRGB ${code}, Lab ${l} ${a} ${b}`;
  return row.colour === 'unmeasured' ? `${said}, ${messages.notMeasured}` : said;
}

/** What the sheet's letters do not have is left to the file's words. */
const drawableLines = (lines: readonly string[]) => lines.filter((text) => missingLetters(text).length === 0);

function headOf(plan: Plan, view?: ShotName): SwatchWork['head'] {
  const { messages, tag } = localeOf(plan.language, plan.market);
  const title = view ? `${plan.title}: ${messages.views[view]}` : plan.title;
  return { title, workshop: plan.workshop, language: tag };
}

const logoHash = ({ plan, logos }: Planning) => plan.letterhead.logo && logos.get(plan.letterhead.logo);

async function makeSwatches(work: SwatchWork, { store, costs, report, logo }: Making): Promise<void> {
  const start = performance.now();
  const bundle = await drawSwatches(work, store, logo);
  if (!bundle) {
    const message = `no swatches of ${takeName(work.take)}: its films are not in the store`;
    report({ event: 'warning', message });
    return;
  }
  await store.put('picture', work.key, bundle);
  costs.recordPieces('swatch', (performance.now() - start) / 1000, bundle.length, work.skus.length);
}

/** @returns undefined if a film is no longer in the store */
async function drawSwatches(
  work: SwatchWork,
  store: ArtefactStore,
  logo: Logo | undefined,
): Promise<Uint8Array | undefined> {
  const swatches = [];
  const { marked, note } = work.unmeasured;
  const { take, shown } = work;
  for (const [i, key] of shown.films.entries()) {
    const film = await loadShown(store, take, shown, key);
    if (!film) return undefined;
    swatches.push({
      caption: `${work.captions[i]}${marked[i] ? ' *' : ''}`,
      lines: work.lines[i],
      film,
    });
  }
  const matte = shown.matte && (await loadShown(store, take, shown, shown.matte));
  if (shown.matte && !matte) return undefined;
  const made = await swatchCard(swatches, WHITE_LEVEL, {
    ...(matte ? { matte } : {}),
    whole: work.files !== undefined,
    ...(marked.some(Boolean) ? { note } : {}),
    ...(drawableLines([work.head.title, work.head.workshop]).length === 2
      ? { head: { ...work.head, ...(logo ? { logo } : {}) } }
      : {}),
  });
  const { head, credit } = work;
  const words = [head.workshop, head.title, ...work.captions.flatMap((c, i) => [c, ...work.lines[i]]), note];
  const packet = (title: string, alt: string) => xmpPacket({ title, alt, credit });
  const alt = `${head.title}. ${work.captions.join('; ')}`;
  const xmp = packet(head.title, alt);
  const { language, title } = head;
  const pdf = await pdfSheet({ picture: made.card.data, dpi: SHEET_DPI, title, alt, language, words, xmp });
  const singles = made.singles.map((print, i) => {
    const told = [work.captions[i], ...work.lines[i]].join(', ');
    return asImage({ ...print, data: pngWithXmp(print.data, packet(work.captions[i], told)) });
  });
  const sheet = { ...made.card, data: pngWithXmp(made.card.data, xmp) };
  return encodeBundle([
    asImage(sheet),
    { ...asImage({ ...sheet, data: pdf }), extension: 'pdf' },
    ...singles,
  ]);
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
    const [card, print, ...singles] = decodeBundle(bundle);
    const shot = take.take.shot.name;
    const sheet = `swatches/${files ? shot : `${skus[0]}-${shot}`}-sheet`;
    found.push({
      shot,
      card: { file: `${sheet}.png`, ...card },
      print: { file: `${sheet}.pdf`, ...print },
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
