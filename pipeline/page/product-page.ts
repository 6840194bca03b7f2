/**
 * A page of one item, `products/<SKU>.html`: plain HTML that needs no script, to be found, sent and linked. Other choices
 * are links to their own pages. It works from disk and from any web server; addresses that must be whole (canonical, Open
 * Graph: ogp.me) are given where the catalogue's own address is known.
 */

import type { Catalogue, CatalogueEntry } from '../facts/catalogue-schema.ts';
import { totalPrice } from '../facts/total-price.ts';
import { heldBy } from '../facts/verdict.ts';
import { bandDescription, bandTitle } from '../facts/wording.ts';
import { FEED } from '../plan/plan.ts';
import { MARKETS } from '../trade/market.ts';
import { plainAmount } from '../trade/money.ts';
import { cutAtWord } from '../words/cut-at-word.ts';
import { escapeHtml, jsonForScript } from '../words/html.ts';
import { type Locale, localeOf } from '../words/locale.ts';
import { address } from './reader/amounts.ts';
import { enquiryAddress, shopAddress } from './reader/buy.ts';
import { cost, itemPage } from './reader/cards.ts';
import { bandHeading, factTrees, trueSize } from './reader/facts.ts';
import { filmsOf } from './reader/film.ts';
import type { DetailShot, ItemDetail, PageIndex, PageItem } from './reader/page-data.ts';
import { colourDot } from './reader/pickers.ts';
import { ownPictures, shotName, shownShots } from './reader/pictures.ts';
import { choicesOf, moved, near } from './reader/products.ts';
import { axisName, say } from './reader/say.ts';
import { sizeHelp } from './reader/size-help.ts';
import { type Tree, tree } from './reader/tree.ts';
import { toHtml } from './tree-html.ts';

/** Style of all product pages, a file of the folder. */
export const PRODUCT_STYLE = 'page/product.css';
/** Search engines cut longer ones. Common practice. */
const MOST_DESCRIPTION = 160;
const SIZES = '(min-width: 60rem) 55vw, 100vw';

export interface ProductPage {
  item: PageItem;
  detail: ItemDetail;
  entry: CatalogueEntry;
  /** items of the same design */
  product: readonly PageItem[];
  catalogue: Catalogue;
  index: Pick<PageIndex, 'axes' | 'metals' | 'currency' | 'language'>;
  /** schema.org's words for it; none for what is not offered */
  jsonLd?: object;
  /** stamp of the style sheet */
  styleStamp: string;
}

export function productPage(page: ProductPage): string {
  const { item, detail, catalogue, index, jsonLd, styleStamp } = page;
  const locale = localeOf(catalogue.language ?? 'en', MARKETS.get(catalogue.market ?? ''));
  const title = `${productTitle(page.entry, locale)} – ${catalogue.workshop}`;
  const policy =
    "default-src 'none'; img-src 'self' file: data:; media-src 'self' file:; style-src 'self' file:; base-uri 'none'; form-action 'none'";
  const head = [
    tree('meta', { charset: 'utf-8' }),
    tree('meta', { name: 'viewport', content: 'width=device-width, initial-scale=1' }),
    tree('meta', { name: 'color-scheme', content: 'light dark' }),
    tree('meta', { 'http-equiv': 'Content-Security-Policy', content: policy }),
    tree('link', { rel: 'icon', href: 'data:,' }),
    tree('title', {}, title),
    ...told(page, title, locale),
    tree('link', { rel: 'stylesheet', href: `../${address(PRODUCT_STYLE, styleStamp)}` }),
  ];
  const data = jsonLd ? `<script type="application/ld+json">${jsonForScript(jsonLd)}</script>\n` : '';
  const home = `../index.html#${new URLSearchParams({ item: item.sku })}`;
  const body = tree(
    'div',
    { class: 'page product' },
    tree(
      'nav',
      { class: 'home', 'aria-label': say('toTheCatalogue') },
      tree('a', { href: home }, `‹ ${catalogue.title}`),
      tree('span', { class: 'workshop' }, catalogue.workshop),
    ),
    tree(
      'main',
      { class: 'item' },
      tree('div', { class: 'pictures' }, ...pictures(detail, index.language)),
      tree('div', { class: 'facts' }, ...facts(page)),
    ),
    tree('footer', {}, tree('ul', { class: 'notes' }, ...catalogue.cautions.map((c) => tree('li', {}, c)))),
  );
  return `<!doctype html>
<html lang="${escapeHtml(index.language)}">
<head>
${head.map(toHtml).join('\n')}
${data}</head>
<body>
${toHtml(body)}
</body>
</html>
`;
}

/** Metals, stones, width and size of a band; of a pair its looks. */
function productTitle({ kind, title, bands }: CatalogueEntry, locale: Locale): string {
  if (kind === 'pair') return title;
  const size = bands[0].sizes[0]?.text;
  return `${bandTitle(bands[0], locale)}${size ? `, ${size}` : ''}`;
}

/** What describes it, to who finds it or is sent it. */
function told({ item, entry, catalogue }: ProductPage, title: string, locale: Locale): Tree[] {
  const whole = entry.bands.map((band) => bandDescription(band, locale)).join(' ');
  const description = cutAtWord(whole, MOST_DESCRIPTION);
  const graph: [property: string, content: string | number | undefined][] = [
    ['og:type', 'product'],
    ['og:site_name', catalogue.workshop],
    ['og:locale', locale.tag.replace('-', '_')],
    ['og:title', title],
    ['og:description', description],
  ];
  const links = [tree('meta', { name: 'description', content: description })];
  const base = catalogue.shop?.baseUrl;
  if (base) {
    const own = publicAddress(base, itemPage(item.sku));
    links.push(tree('link', { rel: 'canonical', href: own }));
    graph.push(['og:url', own]);
    const picture = sharedPicture(entry);
    if (picture)
      graph.push(
        ['og:image', publicAddress(base, picture.file, picture.sha256.slice(0, 8))],
        ['og:image:width', picture.width],
        ['og:image:height', picture.height],
        ['og:image:alt', entry.shots[0]?.alt],
      );
  }
  const price = heldBy(entry.bands).length === 0 ? totalPrice(entry.bands) : undefined;
  if (price)
    graph.push(
      ['product:price:amount', plainAmount(price.total, price.currency)],
      ['product:price:currency', price.currency],
    );
  return [
    ...links,
    ...graph.flatMap(([property, content]) =>
      content === undefined ? [] : [tree('meta', { property, content })],
    ),
  ];
}

export const publicAddress = (base: string, file: string, v?: string) =>
  `${base.replace(/\/+$/, '')}/${address(file, v)}`;

/** The shop's unmarked picture, or a JPEG, which everybody can show, or what there is. */
function sharedPicture({ shots: [first] }: CatalogueEntry) {
  const pictures = [...(first?.pictures ?? [])].sort((a, b) => b.width - a.width);
  const own = pictures.filter((p) => p.role === 'picture');
  return pictures.find((p) => p.name === FEED) ?? own.find((p) => p.format === 'jpeg') ?? own[0];
}

function pictures(detail: ItemDetail, language: string): Tree[] {
  const shots = shownShots(detail).map((shot, i) => {
    const caption = `${shotName(shot, detail)}. ${say('largerThanLife', { size: trueSize(detail) })}`;
    const image = tree('span', { class: 'tile' }, picture(detail, shot, i === 0));
    return tree('figure', {}, image, tree('figcaption', {}, caption));
  });
  const films = filmsOf(detail.movies, language, up).map(({ title, picture: film }) =>
    tree('figure', {}, tree('span', { class: 'tile' }, film), tree('figcaption', {}, title)),
  );
  return [...shots, ...films];
}

function picture(detail: ItemDetail, shot: DetailShot, first: boolean): Tree {
  const files = ownPictures(shot);
  const large = files[files.length - 1];
  return tree('img', {
    src: up(large.file, large.v),
    srcset: files.map((p) => `${up(p.file, p.v)} ${p.width}w`).join(', '),
    sizes: SIZES,
    width: large.width,
    height: large.height,
    loading: first ? undefined : 'lazy',
    alt: shot.alt ?? `${detail.title}, ${shot.label}`,
  });
}

/** From `products/` to a file of the catalogue. */
const up = (file: string, v?: string) => `../${address(file, v)}`;

function facts(page: ProductPage): (Tree | undefined)[] {
  const { item, detail, index } = page;
  const several = detail.bands.length > 1;
  const price = cost(item, index.currency);
  return [
    tree('h1', {}, detail.title),
    price ? tree('p', { class: item.held ? 'held' : 'price' }, price) : undefined,
    tree('div', { class: 'picks' }, ...links(page)),
    buying(page),
    tree('p', { class: 'sku' }, item.sku),
    ...detail.bands.flatMap((band, i) => [
      several ? tree('h2', { class: 'band' }, bandHeading(band, i)) : undefined,
      ...factTrees(band, several ? 'h3' : 'h2'),
    ]),
    sizeHelp(),
    tree(
      'ul',
      { class: 'notes' },
      ...detail.cautions.map((c) => tree('li', {}, c)),
      tree('li', {}, say('renderings')),
    ),
  ];
}

/** The same product in other metals, stones, widths and sizes, each at its own address. */
function links({ item, product, index }: ProductPage): Tree[] {
  return choicesOf(product, index.axes).map(({ axis, values }) => {
    const called = axisName(axis);
    const chips = values.map((value) => {
      // a value stands here since some item of the product has it
      const to = moved(product, item, axis, value)!;
      const own = item.axes[0]?.[axis] === value;
      return tree(
        'li',
        {},
        tree(
          'a',
          {
            class: near(item, to, axis) ? 'chip' : 'chip far',
            href: address(`${to.sku}.html`),
            'aria-current': own ? 'page' : undefined,
          },
          axis === 'metal' && index.metals[value] ? colourDot(index.metals[value]) : undefined,
          tree('span', {}, value),
        ),
      );
    });
    return tree(
      'nav',
      { class: 'pick', 'aria-label': called },
      tree('span', { class: 'called', 'aria-hidden': 'true' }, called),
      tree('ul', { class: 'chips' }, ...chips),
    );
  });
}

function buying({ item, catalogue: { shop } }: ProductPage): Tree | undefined {
  if (item.held || !(shop?.page || shop?.enquire)) return undefined;
  const link = shop.baseUrl ? publicAddress(shop.baseUrl, itemPage(item.sku)) : '';
  const { sku, title } = item;
  return tree(
    'p',
    { class: 'acts' },
    shop.page ? tree('a', { class: 'main', href: shopAddress(shop.page, sku) }, say('toTheShop')) : undefined,
    shop.enquire
      ? tree('a', { class: 'main', href: enquiryAddress(shop.enquire, { sku, title, link }) }, say('enquire'))
      : undefined,
  );
}
