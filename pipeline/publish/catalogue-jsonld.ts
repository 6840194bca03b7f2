/**
 * catalogue.jsonld: the catalogue in the words of schema.org: one ProductGroup whose variants are Products.
 *
 * Amounts carry UN/ECE Recommendation 20 unit codes (MMT millimetre, GRM gram, CTM metric carat, E37 pixel). With a
 * base address links are absolute, else relative to the file. Bands with a price carry an Offer; bands that are held back
 * are left out.
 */

import type {
  BandFacts,
  Catalogue,
  CatalogueEntry,
  PictureEntry,
  ShotEntry,
} from '../facts/catalogue-schema.ts';
import { totalPrice } from '../facts/total-price.ts';
import { heldBy } from '../facts/verdict.ts';
import { bandColours, bandDescription, bandMaterials, bandTitle } from '../facts/wording.ts';
import { DIGITAL_SOURCE } from '../picture/xmp.ts';
import { type CreditPlan, FEED, type ShopPlan } from '../plan/plan.ts';
import { plainAmount } from '../trade/money.ts';
import { localeOf } from '../words/locale.ts';
import { absoluteUrl, productAddress } from './feed-csv.ts';

type Node = Record<string, unknown>;

export interface Publisher {
  shop?: ShopPlan;
  credit?: CreditPlan;
}

export function catalogueJsonLd(catalogue: Catalogue, publisher: Publisher): string {
  const variants = catalogue.items.filter((i) => i.kind === 'variant' && heldBy(i.bands).length === 0);
  const group: Node = {
    '@context': 'https://schema.org/',
    '@type': 'ProductGroup',
    productGroupID: catalogue.catalogue,
    name: catalogue.title,
    description: localeOf(catalogue.language ?? 'en').messages.wording.renderings,
    brand: brandOf(catalogue, publisher),
    variesBy: variesBy(variants),
    hasVariant: variants.map((item) => product(item, catalogue, publisher)),
  };
  return `${JSON.stringify(group, null, 2)}\n`;
}

/**
 * One item for its own page; a pair is a product of two bands. None for what is not offered.
 * @returns a node with its context
 */
export function itemJsonLd(
  item: CatalogueEntry,
  catalogue: Catalogue,
  publisher: Publisher,
): Node | undefined {
  if (heldBy(item.bands).length > 0) return undefined;
  const context = { '@context': 'https://schema.org/' };
  if (item.kind === 'variant') return { ...context, ...product(item, catalogue, publisher) };
  const locale = localeOf(catalogue.language ?? 'en');
  const price = totalPrice(item.bands);
  return {
    ...context,
    '@type': 'Product',
    sku: item.sku,
    name: item.title,
    description: item.bands.map((band) => bandDescription(band, locale)).join(' '),
    brand: brandOf(catalogue, publisher),
    ...urlOf(item.sku, publisher.shop),
    image: item.shots.flatMap((shot) => image(shot, catalogue, publisher)),
    ...(price ? { offers: offer(item.sku, price, publisher.shop) } : {}),
  };
}

const brandOf = (catalogue: Catalogue, { shop }: Publisher): Node => ({
  '@type': 'Brand',
  name: shop?.brand ?? catalogue.workshop,
});

/** Where it is bought, or the page that the catalogue itself has of it. */
function urlOf(sku: string, shop: ShopPlan | undefined): { url?: string } {
  if (shop?.page) return { url: productAddress(shop.page, sku) };
  return shop?.baseUrl ? { url: absoluteUrl(shop.baseUrl, `products/${sku}.html`) } : {};
}

/**
 * Properties in which the variants really differ, of those that readers of product data take (size, color, material,
 * pattern, suggestedAge, suggestedGender). Widths differ in `width` alone.
 */
function variesBy(variants: readonly CatalogueEntry[]): string[] {
  const properties = {
    size: (b: BandFacts) => b.circumferenceMm,
    material: (b: BandFacts) => bandMaterials(b).join('/'),
    color: (b: BandFacts) => bandColours(b).join('/'),
  };
  return Object.entries(properties).flatMap(([name, of]) =>
    new Set(variants.map((v) => of(v.bands[0]))).size > 1 ? [`https://schema.org/${name}`] : [],
  );
}

function product(item: CatalogueEntry, catalogue: Catalogue, publisher: Publisher): Node {
  const [band] = item.bands;
  const { shop } = publisher;
  const locale = localeOf(catalogue.language ?? 'en');
  return {
    '@type': 'Product',
    sku: item.sku,
    inProductGroupWithID: catalogue.catalogue,
    name: bandTitle(band, locale),
    description: bandDescription(band, locale),
    brand: brandOf(catalogue, publisher),
    ...urlOf(item.sku, shop),
    material: bandMaterials(band),
    color: bandColours(band, locale).join('/'),
    size: band.sizes.map((s) => ({
      '@type': 'SizeSpecification',
      name: s.text,
      sizeSystem: s.label,
      hasMeasurement: [
        amount(band.innerDiameterMm, 'MMT', locale.messages.page.innerDiameter),
        amount(band.circumferenceMm, 'MMT', locale.messages.page.circumference),
      ],
    })),
    width: amount(band.widthMm, 'MMT'),
    image: item.shots.flatMap((shot) => image(shot, catalogue, publisher)),
    ...modelOf(band, shop),
    ...(band.price ? { offers: offer(item.sku, band.price, shop) } : {}),
    additionalProperty: properties(band),
  };
}

/** schema.org tells tax in a specification of the price, and availability as an address. */
function offer(sku: string, price: NonNullable<BandFacts['price']>, shop: ShopPlan | undefined): Node {
  const { total, currency, tax } = price;
  const amount = plainAmount(total, currency);
  return {
    '@type': 'Offer',
    price: amount,
    priceCurrency: currency,
    itemCondition: 'https://schema.org/NewCondition',
    ...(shop?.availability ? { availability: AVAILABILITY[shop.availability] } : {}),
    ...(shop?.availableFrom ? { availabilityStarts: shop.availableFrom } : {}),
    ...urlOf(sku, shop),
    ...(tax
      ? {
          priceSpecification: {
            '@type': 'PriceSpecification',
            price: amount,
            priceCurrency: currency,
            valueAddedTaxIncluded: tax.included,
          },
        }
      : {}),
  };
}

/** Members of schema.org/ItemAvailability. */
const AVAILABILITY: Record<NonNullable<ShopPlan['availability']>, string> = {
  'in-stock': 'https://schema.org/InStock',
  'out-of-stock': 'https://schema.org/OutOfStock',
  preorder: 'https://schema.org/PreOrder',
  backorder: 'https://schema.org/BackOrder',
};

function image(shot: ShotEntry, catalogue: Catalogue, { shop, credit }: Publisher): Node[] {
  const picture = mainPicture(shot.pictures);
  if (!picture) return [];
  return [
    {
      '@type': 'ImageObject',
      contentUrl: link(picture.file, shop),
      encodingFormat: `image/${picture.format}`,
      width: amount(picture.width, 'E37'),
      height: amount(picture.height, 'E37'),
      caption: shot.alt ?? shot.label,
      digitalSourceType: DIGITAL_SOURCE + (credit?.source ?? 'digitalCreation'),
      creditText: credit?.line ?? catalogue.workshop,
      ...(credit?.creator ? { creator: { '@type': 'Organization', name: credit.creator } } : {}),
      ...(credit?.copyright ? { copyrightNotice: credit.copyright } : {}),
      ...(credit?.website ? { license: credit.website } : {}),
    },
  ];
}

/** The feed's, which are never marked; without a feed the widest of the first format given. */
function mainPicture(pictures: readonly PictureEntry[]): PictureEntry | undefined {
  const unmarked = pictures.filter((p) => p.name === FEED).sort((a, b) => b.width - a.width);
  if (unmarked.length > 0) return unmarked[0];
  const own = pictures.filter((p) => p.role === 'picture');
  return own.filter((p) => p.format === own[0].format).sort((a, b) => b.width - a.width)[0];
}

/** Media types as registered with IANA. */
const MODEL_TYPE = { glb: 'model/gltf-binary', usdz: 'model/vnd.usdz+zip' } as const;

/** One model in all its files; of the GLB of all colourways only where the band has none of its own. */
function modelOf({ sku, model, ownModels = [] }: BandFacts, shop: ShopPlan | undefined): Node {
  const shared =
    model && !ownModels.some((m) => m.format === 'glb') ? [{ ...model, format: 'glb' } as const] : [];
  const encoding = [...shared, ...ownModels].map(({ file, format }) => ({
    '@type': 'MediaObject',
    contentUrl: link(file, shop),
    encodingFormat: MODEL_TYPE[format],
  }));
  if (encoding.length === 0) return {};
  return {
    subjectOf: {
      '@type': '3DModel',
      name: model?.variant ?? sku,
      encoding: encoding.length === 1 ? encoding[0] : encoding,
    },
  };
}

function properties(band: BandFacts): Node[] {
  const stones = band.rows.map((r) => ({
    '@type': 'PropertyValue',
    name: `stones of ${r.name}`,
    value: `${r.count} × ${r.label}`,
  }));
  return [
    property('thickness', band.thicknessMm, 'MMT'),
    property('metal mass, approximate', band.metalMassG, 'GRM'),
    ...(band.stoneCount > 0
      ? [property('total weight of all stones, approximate', band.totalCarats, 'CTM'), ...stones]
      : []),
  ];
}

function property(name: string, value: number, unitCode: string): Node {
  return { '@type': 'PropertyValue', name, value: Number(value.toFixed(2)), unitCode };
}

function amount(value: number, unitCode: string, name?: string): Node {
  return {
    '@type': 'QuantitativeValue',
    ...(name ? { name } : {}),
    value: Number(value.toFixed(2)),
    unitCode,
  };
}

function link(file: string, shop: ShopPlan | undefined): string {
  return shop?.baseUrl === undefined
    ? file.split('/').map(encodeURIComponent).join('/')
    : absoluteUrl(shop.baseUrl, file);
}
