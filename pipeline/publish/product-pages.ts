/** `products/<SKU>.html`, a page for each item, and `sitemap.xml`, which names them (sitemaps.org, protocol 0.9). */
import { readdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import type { Catalogue } from '../facts/catalogue-schema.ts';
import { pageIndex, pageParts } from '../page/page-index.ts';
import { PRODUCT_STYLE, productPage, publicAddress } from '../page/product-page.ts';
import { itemPage } from '../page/reader/cards.ts';
import { stamp } from '../page/reader/page-data.ts';
import { productKey, productsOf } from '../page/reader/products.ts';
import { browserStyle } from '../store/browser-script.ts';
import { type FileReport, writeIfChanged } from '../store/changed-file.ts';
import { sha256 } from '../store/content-key.ts';
import { sweepTemporary } from '../store/durable-file.ts';
import { escapeHtml } from '../words/html.ts';
import { itemJsonLd, type Publisher } from './catalogue-jsonld.ts';

const STYLES = ['base', 'grid', 'picks', 'look', 'facts', 'screens', 'product', 'print'];
const FOLDER = 'products';

export async function publishProductPages(
  outDir: string,
  catalogue: Catalogue,
  publisher: Publisher,
  report: FileReport,
): Promise<void> {
  await sweepTemporary(join(outDir, FOLDER));
  const style = browserStyle(STYLES.map((name) => `page/reader/${name}.css`));
  await writeIfChanged(outDir, PRODUCT_STYLE, style, report);
  const index = pageIndex(catalogue);
  const products = productsOf(index.items);
  const items = new Map(index.items.map((item) => [item.sku, item]));
  const entries = new Map(catalogue.items.map((entry) => [entry.sku, entry]));
  for (const { details } of pageParts(catalogue))
    for (const [sku, detail] of Object.entries(details)) {
      const item = items.get(sku)!;
      const entry = entries.get(sku)!;
      const html = productPage({
        item,
        detail,
        entry,
        product: products.get(productKey(item))!,
        catalogue,
        index,
        jsonLd: itemJsonLd(entry, catalogue, publisher),
        styleStamp: stamp(sha256(Buffer.from(style))),
      });
      await writeIfChanged(outDir, itemPage(sku), html, report);
    }
  const base = catalogue.shop?.baseUrl;
  if (base) await writeIfChanged(outDir, 'sitemap.xml', sitemap(base, [...items.keys()]), report);
  else await rm(join(outDir, 'sitemap.xml'), { force: true });
}

/** Pages of items that are no more. */
export async function clearProductPages(outDir: string, catalogue: Catalogue): Promise<void> {
  const used = new Set(catalogue.items.map(({ sku }) => itemPage(sku)));
  for (const name of await readdir(join(outDir, FOLDER)).catch(() => []))
    if (/^[A-Za-z0-9][\w.-]*\.html$/.test(name) && !used.has(`${FOLDER}/${name}`))
      await rm(join(outDir, FOLDER, name));
}

/** No dates: nothing in the folder depends on the time of day. */
export function sitemap(base: string, skus: readonly string[]): string {
  const home = `${base.replace(/\/+$/, '')}/`;
  const places = [home, ...skus.map((sku) => publicAddress(base, itemPage(sku)))];
  const lines = places.map((place) => `<url><loc>${escapeHtml(place)}</loc></url>`);
  return `<?xml version="1.0" encoding="UTF-8"?>
<urlset xmlns="http://www.sitemaps.org/schemas/sitemap/0.9">
${lines.join('\n')}
</urlset>
`;
}
