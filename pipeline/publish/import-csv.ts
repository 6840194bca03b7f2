/**
 * shop-import.csv: the catalogue as shop systems import it, RFC 4180, UTF-8: a line for each product with its words, then a line
 * for each of its variants with the values of its options, its price and its pictures. Columns have plain names; an import
 * maps them to its own. Pairs are products too. What is held back is left out.
 */

import type { Catalogue, CatalogueEntry } from '../facts/catalogue-schema.ts';
import { totalPrice } from '../facts/total-price.ts';
import { heldBy } from '../facts/verdict.ts';
import { bandDescription } from '../facts/wording.ts';
import { pageIndex } from '../page/page-index.ts';
import { choicesOf, productsOf } from '../page/reader/products.ts';
import { axisName, say } from '../page/reader/say.ts';
import { shortId } from '../plan/feed-id.ts';
import { FEED, type ShopPlan } from '../plan/plan.ts';
import { plainAmount } from '../trade/money.ts';
import { type CsvCell, csvCell } from '../words/csv.ts';
import { type Locale, localeOf } from '../words/locale.ts';
import { absoluteUrl, productAddress } from './feed-csv.ts';

type Row = Record<string, CsvCell>;

export function importCsv(catalogue: Catalogue, shop: ShopPlan | undefined): string {
  const locale = localeOf(catalogue.language ?? 'en');
  const { items, axes } = pageIndex(catalogue);
  const entries = new Map(catalogue.items.map((entry) => [entry.sku, entry]));
  const offered = items.filter(({ sku }) => heldBy(entries.get(sku)!.bands).length === 0);
  const products = [...productsOf(offered).values()].map((members) => ({
    variants: members.map(({ sku }) => entries.get(sku)!),
    options: choicesOf(members, axes).map(({ axis }) => axis),
  }));
  const most = Math.max(1, ...products.map(({ options }) => options.length));
  const names = Array.from({ length: most }, (_, i) => [`option${i + 1}_name`, `option${i + 1}_value`]);
  const columns = [
    ...['type', 'parent_sku', 'sku', 'title', 'description', 'brand', 'product_type', ...names.flat()],
    ...['price', 'currency', 'weight_g', 'availability', 'image', 'more_images', 'url'],
  ];
  const rows = products.flatMap(({ variants, options }) => {
    const parent = parentSku(catalogue, variants[0]);
    const first = variants[0];
    const brand = shop?.brand ?? catalogue.workshop;
    const common: Row = { brand, parent_sku: parent };
    const lead: Row = {
      ...common,
      type: 'parent',
      sku: parent,
      title: parentTitle(catalogue, first),
      description: descriptionOf(first, locale),
      product_type: say(first.kind === 'pair' ? 'pairs' : 'bands'),
      ...Object.fromEntries(options.map((axis, i) => [`option${i + 1}_name`, axisName(axis)])),
      ...pictures(first, shop),
    };
    const children = variants.map(
      (entry): Row => ({
        ...common,
        type: 'variant',
        sku: entry.sku,
        title: entry.title,
        description: descriptionOf(entry, locale),
        ...Object.fromEntries(
          options.flatMap((axis, i) => [
            [`option${i + 1}_name`, axisName(axis)],
            [`option${i + 1}_value`, entry.bands[0].axes[axis]],
          ]),
        ),
        ...priceOf(entry),
        weight_g: Number(
          entry.bands.reduce((sum, b) => sum + b.metalMassG + b.totalCarats / 5, 0).toFixed(2),
        ),
        availability: shop?.availability?.replaceAll('-', '_'),
        ...pictures(entry, shop),
        url: urlOf(entry, shop),
      }),
    );
    return [lead, ...children];
  });
  const lines = rows.map((row) => columns.map((name) => csvCell(row[name])).join(','));
  return `${[columns.join(','), ...lines].join('\r\n')}\r\n`;
}

/** The same whichever variants there are: catalogue, pair, and the slugs of what parts designs. */
function parentSku(catalogue: Catalogue, entry: CatalogueEntry): string {
  const slugs = apartOf(catalogue, entry).map(({ slug }) => slug);
  return shortId([catalogue.catalogue, ...slugs, ...pairOf(entry)].join('-'));
}

function parentTitle(catalogue: Catalogue, entry: CatalogueEntry): string {
  const labels = apartOf(catalogue, entry).map(({ label }) => label);
  const title = [catalogue.title, ...labels].join(', ');
  return entry.kind === 'pair' ? `${title}, ${pairOf(entry).join('') || say('pairs')}` : title;
}

const pairOf = ({ kind, sku, bands: [{ sku: own }] }: CatalogueEntry) =>
  kind === 'pair' ? [sku.startsWith(`${own}-`) ? sku.slice(own.length + 1) : 'pair'] : [];

/** Values of the axes that make another design of it (`page/reader/products.ts`). */
function apartOf({ axes }: Catalogue, { bands: [band] }: CatalogueEntry) {
  return axes
    .filter(({ name }) => !['size', 'width', 'metal', 'stone'].includes(name))
    .flatMap(({ name, values }) => values.find((v) => v.label === band.axes[name]) ?? []);
}

const descriptionOf = (entry: CatalogueEntry, locale: Locale) =>
  entry.bands.map((band) => bandDescription(band, locale)).join(' ');

function priceOf({ bands }: CatalogueEntry): Row {
  const price = totalPrice(bands);
  return price ? { price: plainAmount(price.total, price.currency), currency: price.currency } : {};
}

/** The feed's unmarked ones, or the widest of each shot; whole addresses where the catalogue's is known. */
function pictures({ shots }: CatalogueEntry, shop: ShopPlan | undefined): Row {
  const files = shots
    .filter((shot) => (shot.turn?.frame ?? 1) === 1)
    .flatMap(({ pictures: all }) => {
      const wide = [...all].sort((a, b) => b.width - a.width);
      const best = wide.find((p) => p.name === FEED) ?? wide.find((p) => p.role === 'picture');
      return best ? [shop?.baseUrl ? absoluteUrl(shop.baseUrl, best.file) : best.file] : [];
    });
  return { image: files[0], more_images: files.slice(1).join(' ') };
}

function urlOf({ sku }: CatalogueEntry, shop: ShopPlan | undefined): string | undefined {
  if (shop?.page) return productAddress(shop.page, sku);
  return shop?.baseUrl ? absoluteUrl(shop.baseUrl, `products/${sku}.html`) : undefined;
}
