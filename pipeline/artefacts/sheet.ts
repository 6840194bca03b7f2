import type { BandFacts } from '../facts/catalogue-schema.ts';
import { reached } from '../fault-point.ts';
import type { Sku, Variant } from '../plan/plan.ts';
import { isRefused, ProblemError } from '../problem.ts';
import type { CatalogueDocument } from '../publish/catalogue.ts';
import type { BenchFile } from '../publish/private-bench.ts';
import type { ContentKey } from '../store/content-key.ts';
import { artefactKey } from '../store/content-key.ts';
import { distinctBands } from './bands.ts';
import { factsOfWanted, layBench } from './bench-files.ts';
import { grouped } from './grouped.ts';
import type { Foresight, Kind, Making, Source } from './kind.ts';
import { withRetries } from './retries.ts';
import { sheetPage } from './sheet-page.ts';
import { factsOfBands } from './solid.ts';

/** A band whose bench sheet is asked for. Its key follows from its facts, so that it is not known before they are. */
export interface SheetWork {
  band: Variant;
}

interface Sheet {
  sku: Sku;
  html: string;
  /** content key of its print */
  key: ContentKey;
}

export const SHEET: Kind<SheetWork> = {
  name: 'sheet',
  // its page, word for word, is in its key
  code: ['tracer/print-page.ts'],
  plan: ({ plan }) => (plan.sheets ? distinctBands(plan).map((band) => ({ band })) : []),
  skus: ({ band }) => [band.sku],
  usesOf: (facts, source) => (source.plan.sheets ? [`sheet/${sheetOf(facts, source).key}`] : []),
  lacking: async () => true,
  make: makeSheet,
  costs: [{ name: 'sheet', label: 'bench sheets', guess: { seconds: 1, bytes: 0.1e6 }, copies: 2 }],
  there: printedSheets,
  lay: (making) =>
    layBench(
      making,
      'sheets',
      () => sheetFolder(making),
      () => distinctBands(making.plan).flatMap(({ sku }) => [`${sku}-bench.html`, `${sku}-bench.pdf`]),
    ),
};

const bySku = ({ band }: SheetWork) => [band.sku];

/** The sheet of one band; it depends on facts and design alone, so equal bands have equal pages. */
function sheetOf(facts: BandFacts, { plan, pieces, versions }: Source): Sheet {
  const [work] = grouped(pieces(SHEET), bySku).get(facts.sku) ?? [];
  if (!work) throw new RangeError(`${facts.sku} is no band of the plan`);
  const html = sheetPage(facts, work.band, plan.shapes[work.band.shape], plan);
  return { sku: work.band.sku, html, key: artefactKey({ layer: 'sheet', engine: versions.sheet, html }) };
}

/** Prints it if it is not in the store. A backend without a browser leaves it as HTML. */
async function makeSheet({ band }: SheetWork, making: Making): Promise<void> {
  const { store, costs, report } = making;
  const facts = await factsOfBands([band], making);
  if (isRefused(facts)) return;
  const sheet = sheetOf(facts[0], making);
  if (await store.has('sheet', sheet.key)) return;
  const pdf = await costs.timed('sheet', () => printSheet(sheet, making));
  if (!pdf) return;
  await store.put('sheet', sheet.key, pdf);
  report({ event: 'sheet', sku: band.sku, bytes: pdf.length });
}

/** A print that fails fails its band's sheet and nothing else; the page is published all the same. */
async function printSheet({ sku, html }: Sheet, making: Making): Promise<Uint8Array | undefined> {
  const { signal, report } = making;
  const onRetry = (_: number, reason: string) =>
    report({ event: 'warning', message: `printing again the bench sheet of ${sku}: ${reason}` });
  try {
    const print = async () => {
      await reached('tracer.print');
      return (await making.tracer()).print?.(html);
    };
    return await withRetries(print, { signal, backoffMs: 100, hadBrowser: () => true, onRetry });
  } catch (error) {
    if (signal.aborted || error instanceof ProblemError) throw error;
    const reason = error instanceof Error ? error.message : String(error);
    report({ event: 'sheet-failed', sku, reason });
    making.fail([sku], `no print of its bench sheet: ${reason}`, true);
    return undefined;
  }
}

/** A forecast builds no facts: it counts prints that an earlier run left, of shapes that stay as they are. */
async function printedSheets(
  pieces: readonly SheetWork[],
  { published, has, lacksShape }: Foresight,
): Promise<number> {
  const fresh = pieces.filter(({ band }) => !lacksShape(band.shape)).length;
  let printed = 0;
  for (const name of published) if (name.startsWith('sheet/') && (await has(name))) printed++;
  return Math.min(fresh, printed);
}

async function* sheetFolder(making: Making): AsyncGenerator<BenchFile> {
  for await (const band of factsOfWanted(making))
    for (const { name, data } of await sheetDocuments(band, making)) yield { name, data: async () => data };
}

/** The page, and its print if there is one. */
export async function sheetDocuments(facts: BandFacts, source: Source): Promise<CatalogueDocument[]> {
  const { sku, html, key } = sheetOf(facts, source);
  const pdf = await source.store.get('sheet', key);
  return [
    { kind: 'bench-sheet', name: `${sku}-bench.html`, data: Buffer.from(html) },
    ...(pdf ? [{ kind: 'bench-sheet' as const, name: `${sku}-bench.pdf`, data: pdf }] : []),
  ];
}
