/** Cuts a catalogue into what its page needs at once and what it loads later. */

import type { BandFacts, Catalogue, CatalogueEntry, PictureEntry } from '../facts/catalogue-schema.ts';
import { heldBy } from '../facts/verdict.ts';
import { CUTS } from '../trade/cuts.ts';
import { MARKETS } from '../trade/market.ts';
import { type Language, tradeWords } from '../trade/words.ts';
import { localeOf } from '../words/locale.ts';
import type { PageNames } from '../words/messages.ts';
import { carats, grams, mm } from './reader/amounts.ts';
import type { ItemDetail, PageIndex, PageItem } from './reader/page-data.ts';
import { hear, priceText, say, totalPrice } from './reader/say.ts';

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
    messages: { ...messages.page, ...namesOf(language) },
    ...(market?.inches ? { inches: true } : {}),
  };
  hear(said);
  const items = catalogue.items.map((item, i): PageItem => {
    const first = item.shots[0];
    const price = totalPrice(item.bands);
    const shown = first?.pictures ?? [];
    const whole = shown.filter((p) => p.role === 'picture');
    const large = widest(whole.length > 0 ? whole : shown.filter((p) => p.frame && !p.name));
    const small = first?.pictures.find((p) => p.role === 'thumbnail') ?? large;
    return {
      sku: item.sku,
      kind: item.kind,
      title: item.title,
      lines: [...item.bands.map(bandLine), offerLine(item, price)],
      axes: item.bands.map((b) => b.axes),
      words: wordsOf(item),
      sizeMm: round(item.bands[0].circumferenceMm),
      widthMm: round(item.bands[0].widthMm),
      massG: round(sum(item.bands.map((b) => b.metalMassG))),
      carats: round(sum(item.bands.map((b) => b.totalCarats))),
      ...(price ? { price: price.total } : {}),
      alt: first?.alt ?? item.title,
      ...(small ? { thumbnail: { file: small.file, width: small.width, height: small.height } } : {}),
      ...(large ? { large: large.file } : {}),
      shapes: item.bands.map((b) => numberOf(item.keys[`solid ${b.sku}`] ?? `${item.sku} ${b.sku}`)),
      ...(item.kind === 'variant' && item.bands[0].model ? { colourway: item.bands[0].model.variant } : {}),
      part: partFile(Math.floor(i / PART)),
    };
  });
  const axes = catalogue.axes.flatMap(({ name, values }) => {
    const worn = new Set(catalogue.items.flatMap((item) => item.bands.map((b) => b.axes[name])));
    const shown = values.map((v) => v.label).filter((label) => worn.has(label));
    return shown.length < 2 ? [] : [{ name, values: shown }];
  });
  return { ...said, axes, items };
}

/** Names of the trade that a page says, by the keys under which it looks for them. */
export function namesOf(language: Language): PageNames {
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
  { swatches = [] }: Catalogue,
  modelBytes: ReadonlyMap<string, number>,
  checks: boolean,
): ItemDetail {
  const own = swatches.flatMap(({ shot, sheet, singles }) =>
    singles
      .filter((s) => s.sku === item.sku)
      .map(({ file, bytes }) => ({ shot, file, bytes, sheet: sheet.file, sheetBytes: sheet.bytes })),
  );
  const files = bands.flatMap((b) => (b.model ? [b.model.file] : []));
  const models = Object.fromEntries(files.map((file) => [file, modelBytes.get(file) ?? 0]));
  const told = { ...item, bands: bands.map((b) => bandDetail(b, checks)) };
  const lean = JSON.parse(JSON.stringify(told, (name, value) => (name === 'sha256' ? undefined : value)));
  return { ...lean, swatches: own, models };
}

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

/** All metal, and the price; or that it is not offered. */
function offerLine({ bands }: CatalogueEntry, price: ReturnType<typeof totalPrice>): string {
  const metal = `${say('allMetal')} ${grams(sum(bands.map((b) => b.metalMassG)))}`;
  if (heldBy(bands).length > 0) return `${metal}. ${say('heldBack')}`;
  return price ? `${metal}; ${say('price')} ${priceText(price)}` : metal;
}

function wordsOf(item: CatalogueEntry): string {
  const words = item.bands.flatMap((b) => [
    b.sku,
    ...Object.values(b.axes),
    ...b.sizes.map((s) => s.text),
    ...b.metals.map((m) => m.name),
    ...b.rows.map((r) => `${r.label} ${r.cut.replaceAll('-', ' ')}`),
  ]);
  return [...new Set(words)].join(' ');
}

/** Of the first format given. */
function widest(pictures: readonly PictureEntry[]): PictureEntry | undefined {
  return pictures.filter((p) => p.format === pictures[0].format).sort((a, b) => b.width - a.width)[0];
}

const sum = (values: readonly number[]) => values.reduce((a, b) => a + b, 0);
const round = (value: number) => Number(value.toFixed(3));
