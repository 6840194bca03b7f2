/** What hangs on language and market: German words and figures, prices on the page. */
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser } from 'puppeteer';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { catalogueSchema } from '../../pipeline/facts/catalogue-schema.ts';
import { indexPage } from '../../pipeline/page/index-page.ts';
import { pageIndex, pageParts } from '../../pipeline/page/page-index.ts';
import { SHELF } from '../../pipeline/page/reader/page-data.ts';
import { choicesScript, pageCode } from '../../pipeline/publish/page-files.ts';
import { PAGE_GERMAN } from '../../pipeline/words/page-de.ts';
import { PAGE_ENGLISH } from '../../pipeline/words/page-en.ts';
import { atPlace, pageBrowser, violations } from './page-browser.ts';
import { publishSmall } from './page-catalogue.ts';

/** of both catalogues */
let browser: Browser;
let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'bandwright-page-local-'));
  browser = await pageBrowser();
});
afterAll(async () => {
  await browser?.close();
  await rm(folder, { recursive: true, force: true });
});

const catalogueIn = async (place: string) =>
  catalogueSchema.parse(JSON.parse(await readFile(join(place, 'catalogue.json'), 'utf8')));

/** Words that German does not share; the sample catalogue's own labels are English and hold none of them. */
const ENGLISH =
  /\b(the|and|wide|inside|outside|thickness|circumference|sizes|order|find|choose|compare|close|next|previous|passed|limit|files|pictures|pairs|approx|noise|model keys|drag|colourways?|show all|larger)\b/gi;

describe('a German catalogue', () => {
  let german: string;
  beforeAll(async () => {
    german = join(folder, 'german');
    await publishSmall(german, 'de');
  });

  it.each(['', '#item=T-50-yellow-18', '#item=T-pair', '#compare=T-50-yellow-18%2CT-60-platinum-950'])(
    'has no English word and is accessible at "%s"',
    (hash) =>
      atPlace(browser, german, hash, async (page) => {
        const said = await page.evaluate(() => {
          const seen = document.body.cloneNode(true) as HTMLElement;
          for (const script of seen.querySelectorAll('script')) script.remove();
          const labels = [...seen.querySelectorAll('[aria-label]')].map((e) => e.getAttribute('aria-label'));
          return [seen.textContent, ...labels].join('\n');
        });
        expect(said.match(ENGLISH) ?? []).toEqual([]);
        expect(said).toMatch(/breit/);
        expect(await page.$eval('html', (e) => e.lang)).toBe('de-DE');
        expect(await violations(page)).toEqual([]);
      }),
  );

  it('writes figures with a decimal comma (Unicode CLDR, de)', () =>
    atPlace(browser, german, '#item=T-50-yellow-18', async (page) => {
      const text = await page.$eval('.facts', (e) => e.textContent ?? '');
      expect(text).toContain('15,92\u00a0mm'); // 50 / π
      expect(text).not.toContain('15.92');
    }));

  it('orders by price and shows it only where every band has one', async () => {
    const catalogue = await catalogueIn(german);
    const items = catalogue.items.map((item, i) => ({
      ...item,
      bands: item.bands.map((b, k) => (k === 0 ? { ...b, price: { total: 1000 - i, currency: 'EUR' } } : b)),
    }));
    const index = pageIndex({ ...catalogue, items });
    const prices = index.items.map((i: { price?: number }) => i.price);
    expect(prices.slice(0, 2).every((p: number | undefined) => p !== undefined && p > 900)).toBe(true);
    expect(index.items.find((i) => i.kind === 'pair')?.price).toBeUndefined();
  });

  it('names the same amounts in both languages', () => {
    const amounts = (text: string) => [...text.matchAll(/\{(\w+)\}/g)].map((m) => m[1]).sort();
    for (const key of Object.keys(PAGE_ENGLISH) as (keyof typeof PAGE_ENGLISH)[])
      expect(amounts(PAGE_GERMAN[key]), key).toEqual(amounts(PAGE_ENGLISH[key]));
  });
});

/** One band has no price, as where a rate is missing; the pair costs both of its bands. */
const PRICES: Record<string, number | undefined> = {
  'T-50-yellow-18': 1200,
  'T-50-rose-18': 999.5,
  'T-50-platinum-950': 1800,
  'T-60-yellow-18': 10500,
  'T-60-rose-18': undefined,
  'T-60-platinum-950': 2100,
};

describe('prices', () => {
  let priced: string;
  beforeAll(async () => {
    priced = join(folder, 'priced');
    await publishSmall(priced);
    const catalogue = await catalogueIn(priced);
    const items = catalogue.items.map((item) => ({
      ...item,
      bands: item.bands.map((band) => {
        const total = PRICES[band.sku];
        return total === undefined ? band : { ...band, price: { total, currency: 'EUR' } };
      }),
    }));
    const told = { ...catalogue, items };
    await writeFile(join(priced, 'index.html'), indexPage(told, await pageCode()));
    await writeFile(join(priced, 'page/choices.js'), choicesScript(told));
    for (const { file, details } of pageParts(told))
      await writeFile(
        join(priced, file),
        `(globalThis.${SHELF}??={})[${JSON.stringify(file)}]=${JSON.stringify(details)};`,
      );
  });

  it('sorts by price both ways, pairs by the sum of their bands, what has no price last', () =>
    atPlace(browser, priced, '#view=looks', async (page) => {
      const skus = () =>
        page.$$eval('.cards li', (cards) => cards.map((c) => (c as HTMLElement).dataset.sku));
      await page.select('.order select', 'price');
      const rising = await skus();
      // of each look the dearer size stands behind: 999.50, 1200, 1800, the pair of 1200 and 2100
      expect(rising).toEqual(['T-50-rose-18', 'T-50-yellow-18', 'T-50-platinum-950', 'T-pair']);
      expect(new URL(page.url()).hash).toContain('price');
      await page.select('.order select', 'price-down');
      // 10500, the pair, 2100; of the rose ones one has no price and stands behind the other
      const falling = ['T-60-yellow-18', 'T-pair', 'T-60-platinum-950', 'T-50-rose-18'];
      expect(await skus()).toEqual(falling);
      await page.reload();
      await page.waitForSelector('html[data-ready]');
      expect(await skus()).toEqual(falling);
    }));

  it('tells the same price on a card, in the large view and beside another', async () => {
    const text = (hash: string, selector: string) =>
      atPlace(browser, priced, hash, (page) => page.$eval(selector, (e) => e.textContent ?? ''));
    const price = '€1,200.00';
    expect(await text('', '[data-sku="T-50-yellow-18"] .cost')).toBe(price);
    expect(await text('#item=T-50-yellow-18', '.facts .price')).toBe(`Price: ${price}`);
    // the pair costs both of its bands
    const row = await atPlace(browser, priced, '#compare=T-50-yellow-18%2CT-pair', (page) =>
      page.$eval('.both tbody tr', (e) => [...e.children].map((c) => c.textContent)),
    );
    expect(row).toEqual([expect.stringMatching(/^Price/), price, '€3,300.00']);
  });
});
