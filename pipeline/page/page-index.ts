/** Cuts a catalogue into what its page needs at once and what it loads later. */

import type { BandFacts, Catalogue, CatalogueEntry, PictureEntry } from '../facts/catalogue-schema.ts';
import { totalPrice } from '../facts/total-price.ts';
import { heldBy } from '../facts/verdict.ts';
import { ALLOYS } from '../trade/alloys.ts';
import { alloyColour } from '../trade/colour-table.ts';
import { CUTS } from '../trade/cuts.ts';
import { MARKETS } from '../trade/market.ts';
import { type Language, tradeWords } from '../trade/words.ts';
import { localeOf } from '../words/locale.ts';
import type { PageNames } from '../words/messages.ts';
import { carats, mm } from './reader/amounts.ts';
import { type ItemDetail, type PageIndex, type PageItem, stamp } from './reader/page-data.ts';
import { hear, say } from './reader/say.ts';

/** Items in one file of details: a look at one item loads its neighbours too. */
const PART = 32;

export function pageIndex(catalogue: Catalogue): PageIndex {
  const shapes = new Map<string, number>();
  const numberOf = (key: string) => {
    if (!shapes.has(key)) shapes.set(key, shapes.size);
    return shapes.get(key)!;
  };
  const market = MARKETS.get(catalogue.market ?? '');
  const { tag, messages, language } = localeOf((catalogue.language ?? 'en') as Language, market);
  const said = {
    language: tag,
    messages: { ...messages.page, ...pageNames(language) },
    ...(market?.inches ? { inches: true } : {}),
  };
  hear(said);
  const items = catalogue.items.map((item, i): PageItem => {
    const price = totalPrice(item.bands);
    const faces = facesOf(item);
    const [band] = item.bands;
    return {
      sku: item.sku,
      kind: item.kind,
      ...(item.kind === 'pair' ? { pair: pairName(item) } : {}),
      title: item.title,
      lines: item.bands.map(bandLine),
      axes: item.bands.map((b) => b.axes),
      words: wordsOf(item),
      sizeMm: round(band.circumferenceMm),
      widthMm: round(band.widthMm),
      massG: round(sum(item.bands.map((b) => b.metalMassG))),
      carats: round(sum(item.bands.map((b) => b.totalCarats))),
      ...(price ? { price: price.total } : {}),
      ...(heldBy(item.bands).length > 0 ? { held: true } : {}),
      alt: item.shots[0]?.alt ?? item.title,
      faces: faces.map(({ file, width, height }) => ({ file, width, height })),
      stamps: faces.map(({ sha256 }) => stamp(sha256)),
      shapes: item.bands.map((b) => numberOf(item.keys[`solid ${b.sku}`] ?? `${item.sku} ${b.sku}`)),
      ...(item.kind === 'variant' && band.model ? { colourway: band.model.variant } : {}),
      part: partFile(Math.floor(i / PART)),
    };
  });
  const axes = catalogue.axes.flatMap(({ name, values }) => {
    const worn = new Set(catalogue.items.flatMap((item) => item.bands.map((b) => b.axes[name])));
    const shown = values.map((v) => v.label).filter((label) => worn.has(label));
    return shown.length < 2 ? [] : [{ name, values: shown }];
  });
  const currency = catalogue.items.flatMap((item) => item.bands.flatMap((b) => b.price ?? []))[0]?.currency;
  return {
    catalogue: catalogue.catalogue,
    ...said,
    axes,
    metals: metalColours(catalogue),
    ...(currency ? { currency } : {}),
    ...(catalogue.shop ? { shop: catalogue.shop } : {}),
    items,
  };
}

/** The first shot in the files of the page, narrowest first: the small one, and the pictures of the first format. */
function facesOf({ shots: [first] }: CatalogueEntry): PictureEntry[] {
  const shown = first?.pictures ?? [];
  const whole = shown.filter((p) => p.role === 'picture');
  const own = whole.length > 0 ? whole : shown.filter((p) => p.frame && !p.name);
  const same = own.filter((p) => p.format === own[0].format);
  const small = shown.filter((p) => p.role === 'thumbnail');
  return [...new Map([...same, ...small].map((p) => [p.width, p])).values()].sort(
    (a, b) => a.width - b.width,
  );
}

/** A pair's SKU is that of its first band with the pair's name behind it (`plan/pairing.ts`). */
function pairName({ sku, bands: [{ sku: first }] }: CatalogueEntry): string {
  return sku.startsWith(`${first}-`) ? sku.slice(first.length + 1) : '';
}

/** Codes of the alloys that bands with a value of the metal axis have, as they lie side by side. */
function metalColours({ items }: Catalogue): Record<string, string[]> {
  const colours: Record<string, string[]> = {};
  for (const band of items.flatMap((item) => item.bands)) {
    const label = band.axes.metal;
    if (label === undefined || colours[label]) continue;
    const known = band.metals.flatMap(({ alloy }) => (ALLOYS.has(alloy) ? [alloyColour(alloy).srgb] : []));
    colours[label] = known.map((c) => `#${c.map((v) => v.toString(16).padStart(2, '0')).join('')}`);
  }
  return Object.fromEntries(Object.entries(colours).filter(([, codes]) => codes.length > 0));
}

/** Names of the trade that a page says, by the keys under which it looks for them. */
export function pageNames(language: Language): PageNames {
  const { rules, cut } = tradeWords(language);
  const named = <K extends string>(kind: string, names: (readonly [K, string])[]) =>
    names.map(([id, name]) => [`${kind} ${id}`, name]);
  return Object.fromEntries([
    ...named('rule', Object.entries(rules)),
    ...named(
      'cut',
      [...CUTS.keys()].map((id) => [id, cut(id)] as const),
    ),
  ]) as PageNames;
}

/**
 * The rest of the items, file by file.
 * @param checks whether the bench’s are told: they are the workshop’s business, not the shopper’s
 */
export function pageParts(
  catalogue: Catalogue,
  checks = false,
): { file: string; details: Record<string, ItemDetail> }[] {
  const modelBytes = new Map(catalogue.models.map((m) => [m.file, m.bytes]));
  const parts = [];
  for (let i = 0; i < catalogue.items.length; i += PART) {
    const items = catalogue.items.slice(i, i + PART);
    parts.push({
      file: partFile(i / PART),
      details: Object.fromEntries(
        items.map((item) => [item.sku, detail(item, catalogue, modelBytes, checks)]),
      ),
    });
  }
  return parts;
}

function detail(
  { keys: _, versions: __, bands, ...item }: CatalogueEntry,
  { swatches = [], movies = [], names = {} }: Catalogue,
  modelBytes: ReadonlyMap<string, number>,
  checks: boolean,
): ItemDetail {
  const own = swatches.flatMap(({ shot, sheet, print, singles }) =>
    singles
      .filter((s) => s.sku === item.sku)
      .map(({ file, bytes }) => ({
        shot,
        file,
        bytes,
        sheet: sheet.file,
        sheetBytes: sheet.bytes,
        ...(print ? { print: print.file, printBytes: print.bytes } : {}),
      })),
  );
  const files = bands.flatMap((b) => (b.model ? [b.model.file] : []));
  const models = Object.fromEntries(files.map((file) => [file, modelBytes.get(file) ?? 0]));
  const told: object = { ...item, bands: bands.map((b) => bandDetail(withNames(b, names), checks)) };
  const films = movies
    .filter((m) => m.skus.includes(item.sku))
    .map(({ skus: _, frames: __, seconds: ___, ...movie }) => movie);
  return { ...lean(told), swatches: own, models, movies: lean(films) } as unknown as ItemDetail;
}

/** Hashes of files cut to their stamps. */
function lean<T extends object>(value: T): object {
  return JSON.parse(
    JSON.stringify(value, (_, v) => {
      if (typeof v !== 'object' || v === null || !('sha256' in v)) return v;
      const { sha256, ...rest } = v;
      return { ...rest, v: stamp(sha256) };
    }),
  );
}

/** Lanes and rows as readers call them: by the config's names for them, else by their own with a capital. */
export function withNames(band: BandFacts, names: Readonly<Record<string, string>>): BandFacts {
  const called = (name: string) => names[name] ?? readable(name);
  return {
    ...band,
    metals: band.metals.map((m) => ({ ...m, lanes: m.lanes.map(called) })),
    rows: band.rows.map((r) => ({ ...r, name: called(r.name) })),
  };
}

const readable = (name: string) => name.charAt(0).toUpperCase() + name.slice(1).replaceAll('-', ' ');

/** What a check stands on is told on the bench sheet and by `check`. */
function bandDetail(band: BandFacts, checks: boolean) {
  const { checks: all, failedChecks: _, heldBack: __, ...rest } = band;
  return {
    ...rest,
    ...(checks ? { checks: all.map(({ source: _, ...check }) => check) } : {}),
    ...(heldBy([band]).length > 0 ? { held: true } : {}),
  };
}

const partFile = (n: number) => `page/items-${String(n + 1).padStart(2, '0')}.js`;

/** True size in one line, and the stones as a total. */
function bandLine(band: BandFacts): string {
  const size = band.sizes[0]?.text ?? mm(band.circumferenceMm, 1);
  const stones =
    band.stoneCount > 0
      ? `, ${say('stonesOf', { n: band.stoneCount, total: carats(band.totalCarats) })}`
      : '';
  return `${size}, ${say('trueSize', { width: mm(band.widthMm), inside: mm(band.innerDiameterMm) })}${stones}`;
}

function wordsOf(item: CatalogueEntry): string[] {
  const words = item.bands.flatMap((b) => [
    b.sku,
    ...Object.values(b.axes),
    ...b.sizes.map((s) => s.text),
    ...b.metals.map((m) => m.name),
    ...b.rows.map((r) => `${r.label} ${r.cut.replaceAll('-', ' ')}`),
  ]);
  return [...new Set(words)].filter((word) => word !== item.sku);
}

const sum = (values: readonly number[]) => values.reduce((a, b) => a + b, 0);
const round = (value: number) => Number(value.toFixed(3));
