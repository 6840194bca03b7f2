/**
 * feed.csv: the catalogue's variants as a product feed, RFC 4180, UTF-8.
 *
 * Column names, limits and values follow the public product data specification
 * (support.google.com/merchants/answer/7052112): id 50 characters, title 150, description 5000, at most ten additional
 * pictures separated by commas, material and color up to three values separated by "/", size_system out of a list of
 * countries, price as a figure with a decimal point and
 * the currency's ISO 4217 code (answer/6324371), availability out of four words (answer/6324448). Price and availability
 * stand there if the config gives them; shipping is the shop's to add. Pairs are left out: a pair is two products.
 */
import { FEED, type ShopPlan } from '../catalogue/plan.ts';
import { plainAmount } from '../trade/money.ts';
import { allSizes, type SizeSystemId } from '../trade/ring-size.ts';
import { csvCell } from './catalogue-csv.ts';
import type { BandFacts, Catalogue, CatalogueEntry } from './catalogue-schema.ts';
import { localeOf } from './messages/locale.ts';
import { bandColours, bandDescription, bandMaterials, bandTitle } from './wording.ts';

/** Feed's names of size systems. ISO 8653 sizes are those of Germany and France, hence EU (common practice). */
const SIZE_SYSTEM: Record<SizeSystemId, string> = { iso: 'EU', us: 'US', uk: 'UK', jp: 'JP', ch: 'IT' };

/** A named size is only claimed within this of the bore, mm of circumference: about 0.1 mm of diameter. */
const SIZE_TOLERANCE_MM = 0.32;

type Shop = ShopPlan & { baseUrl: string };
type Column = [name: string, value: (item: CatalogueEntry, band: BandFacts) => string];

export function feedCsv(catalogue: Catalogue, shop: Shop): string {
  const table = columns(catalogue, shop);
  const items = catalogue.items.filter((i) => i.kind === 'variant' && feedPictures(i).length > 0);
  const lines = items.map((item) => table.map(([, value]) => csvCell(value(item, item.bands[0]))).join(','));
  return `${[table.map(([name]) => name).join(','), ...lines].join('\r\n')}\r\n`;
}

function columns(catalogue: Catalogue, shop: Shop): Column[] {
  const { page, sizeSystem, availability, availableFrom } = shop;
  const locale = localeOf(catalogue.language ?? 'en');
  const pictures = (item: CatalogueEntry) =>
    feedPictures(item).map((file) => absoluteUrl(shop.baseUrl, file));
  return [
    ['id', (item) => item.sku.slice(0, 50)],
    ['item_group_id', () => catalogue.catalogue.slice(0, 50)],
    ['title', (_, band) => bandTitle(band, locale).slice(0, 150)],
    ['description', (_, band) => bandDescription(band, locale).slice(0, 5000)],
    ...(page ? [['link', (item) => productPage(page, item.sku)] satisfies Column] : []),
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
    ['brand', () => shop.brand ?? catalogue.workshop],
    ['condition', () => 'new'],
    ['age_group', () => 'adult'],
    ['material', (_, band) => bandMaterials(band).slice(0, 3).join('/')],
    ['color', (_, band) => bandColours(band, locale).slice(0, 3).join('/')],
    ['size', (_, band) => feedSize(band, sizeSystem).text],
    ['size_system', (_, band) => feedSize(band, sizeSystem).system],
  ];
}

export function productPage(pattern: string, sku: string): string {
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
