/**
 * feed.csv: the catalogue's variants as a product feed, RFC 4180, UTF-8.
 *
 * Column names, limits and values follow the public product data specification
 * (support.google.com/merchants/answer/7052112): id 50 characters, title 150, description 5000, at most ten additional
 * pictures separated by commas, material and color up to three values separated by "/", size_system out of a list of
 * countries, price as a figure with a decimal point and
 * the currency's ISO 4217 code (answer/6324371), availability out of four words (answer/6324448). Price and availability
 * stand there if the config gives them; shipping is the shop's to add. Pairs are left out: a pair is two products. So are
 * bands that are held back. Part numbers (mpn, 70 characters: answer/6324482) are the maker's own SKUs, since the maker is the
 * manufacturer; a shop that says it has none tells `identifier_exists` no (answer/6324478). Gender, one of three words:
 * answer/6324479. Category: answer/6324436. Finishes stand as `pattern` (answer/6324483), widths, which have no attribute, in
 * `product_detail` (answer/9218260) and in the title. Links lead to the shop's page or else to the catalogue's own. The numbers of these answers are from memory, their values from the specification.
 */

import type { BandFacts, Catalogue, CatalogueEntry } from '../facts/catalogue-schema.ts';
import { heldBy } from '../facts/verdict.ts';
import { bandColours, bandDescription, bandMaterials } from '../facts/wording.ts';
import { shortId } from '../plan/feed-id.ts';
import { FEED, type ShopPlan } from '../plan/plan.ts';
import { plainAmount } from '../trade/money.ts';
import { allSizes, type SizeSystemId } from '../trade/ring-size.ts';
import { csvCell } from '../words/csv.ts';
import { cutAtWord } from '../words/cut-at-word.ts';
import { type Locale, localeOf } from '../words/locale.ts';
import { feedGroups } from './feed-groups.ts';
import { feedTitles } from './feed-titles.ts';

/** Feed's names of size systems. ISO 8653 sizes are those of Germany and France, hence EU (common practice). */
const SIZE_SYSTEM: Record<SizeSystemId, string> = { iso: 'EU', us: 'US', uk: 'UK', jp: 'JP', ch: 'IT' };

/** A named size is only claimed within this of the bore, mm of circumference: about 0.1 mm of diameter. */
const SIZE_TOLERANCE_MM = 0.32;

type Shop = ShopPlan & { baseUrl: string };
type Column = [name: string, value: (item: CatalogueEntry, band: BandFacts) => string];

export function feedCsv(catalogue: Catalogue, shop: Shop): string {
  const table = columns(catalogue, shop);
  const items = catalogue.items.filter(
    (i) => i.kind === 'variant' && feedPictures(i).length > 0 && heldBy(i.bands).length === 0,
  );
  const lines = items.map((item) => table.map(([, value]) => csvCell(value(item, item.bands[0]))).join(','));
  return `${[table.map(([name]) => name).join(','), ...lines].join('\r\n')}\r\n`;
}

function columns(catalogue: Catalogue, shop: Shop): Column[] {
  const { page, sizeSystem, availability, availableFrom, partNumbers } = shop;
  const locale = localeOf(catalogue.language ?? 'en');
  const pictures = (item: CatalogueEntry) =>
    feedPictures(item).map((file) => absoluteUrl(shop.baseUrl, file));
  const material = (band: BandFacts) => bandMaterials(band).slice(0, 3).join('/');
  const colour = (band: BandFacts) => bandColours(band, locale).slice(0, 3).join('/');
  // of all variants, so that a band that is held back for a day moves no other into another group
  const variants = catalogue.items.filter((i) => i.kind === 'variant');
  const groups = feedGroups(catalogue, variants, ({ bands: [band] }) =>
    JSON.stringify([feedSize(band, sizeSystem), material(band), colour(band), pattern(band)]),
  );
  const titles = feedTitles(variants, catalogue.axes, locale);
  return [
    ['id', (item) => shortId(item.sku)],
    ['item_group_id', (item) => groups.get(item.sku) ?? ''],
    ['title', ({ sku }) => titles.get(sku) ?? ''],
    ['description', (_, band) => cutAtWord(bandDescription(band, locale), 5000)],
    [
      'link',
      ({ sku }) => (page ? productAddress(page, sku) : absoluteUrl(shop.baseUrl, `products/${sku}.html`)),
    ],
    ['image_link', (item) => pictures(item)[0]],
    ['additional_image_link', (item) => pictures(item).slice(1, 11).join(',')],
    ...(catalogue.items.some((i) => i.bands[0].price)
      ? [
          [
            'price',
            (_, { price }) => (price ? `${plainAmount(price.total, price.currency)} ${price.currency}` : ''),
          ] satisfies Column,
        ]
      : []),
    ...(availability ? [['availability', () => availability.replaceAll('-', '_')] satisfies Column] : []),
    // the specification wants an instant: the day begins at midnight UTC
    ...(availableFrom ? [['availability_date', () => `${availableFrom}T00:00Z`] satisfies Column] : []),
    ['brand', () => cutAtWord(shop.brand ?? catalogue.workshop, 70)],
    ['mpn', (item) => (partNumbers ? shortId(item.sku, 70) : '')],
    ['identifier_exists', () => (partNumbers ? 'yes' : 'no')],
    ['google_product_category', () => String(shop.category)],
    ['condition', () => 'new'],
    ['age_group', () => 'adult'],
    ['gender', () => shop.gender],
    ['material', (_, band) => material(band)],
    ['color', (_, band) => colour(band)],
    ['pattern', (_, band) => pattern(band)],
    ['size', (_, band) => feedSize(band, sizeSystem).text],
    ['size_system', (_, band) => feedSize(band, sizeSystem).system],
    ['product_detail', (_, band) => details(band, locale)],
  ];
}

/** How the surfaces look, which a buyer would call the pattern; at most 100 characters (answer/6324483). */
function pattern({ finishes = [] }: BandFacts): string {
  return cutAtWord(finishes.map((f) => f.name).join('/'), 100);
}

/** What has no attribute of its own, as section:name:value; signs that part them are taken out of the values. */
function details(band: BandFacts, { messages: { page }, number }: Locale): string {
  const plain = (text: string) => text.replace(/[,:]/g, ' ').replace(/ +/g, ' ').trim();
  // commas part details, so figures keep a point whatever the language
  const mm = (value: number) => `${number(value, 0, 2).replace(',', '.')} mm`;
  const told = [
    [page.measures, page.width, mm(band.widthMm)],
    [page.measures, page.thickness, mm(band.thicknessMm)],
    ...(band.finishes?.length
      ? [[page.measures, page['axis finish'], band.finishes.map((f) => f.name).join(' / ')]]
      : []),
  ];
  return told.map((parts) => parts.map(plain).join(':')).join(',');
}

export function productAddress(pattern: string, sku: string): string {
  return pattern.replaceAll('{sku}', encodeURIComponent(sku));
}

/** The unmarked pictures of an item, one per shot. */
function feedPictures(item: CatalogueEntry): string[] {
  return item.shots.flatMap((s) => s.pictures.filter((p) => p.name === FEED).map((p) => p.file));
}

/** The size in the wanted system if the bore really has it, else in millimetres of circumference. */
export function feedSize(band: BandFacts, wanted: SizeSystemId): { text: string; system: string } {
  const found = allSizes(band.circumferenceMm).find((s) => s.system === wanted);
  if (found?.name && Math.abs(found.deviationMm ?? Infinity) <= SIZE_TOLERANCE_MM)
    return { text: found.name.slice(found.mark.length).trim(), system: SIZE_SYSTEM[wanted] };
  return { text: String(Number(band.circumferenceMm.toFixed(1))), system: SIZE_SYSTEM.iso };
}

/** RFC 3986; commas are escaped too, since they separate addresses in a cell. */
export function absoluteUrl(base: string, file: string): string {
  const path = file.split('/').map(encodeURIComponent).join('/').replaceAll(',', '%2C');
  return `${base.replace(/\/+$/, '')}/${path}`;
}
