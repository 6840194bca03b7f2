import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser } from 'puppeteer';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { catalogueSchema } from '../../pipeline/facts/catalogue-schema.ts';
import { pageIndex } from '../../pipeline/page/page-index.ts';
import { PAGE_GERMAN } from '../../pipeline/words/page-de.ts';
import { PAGE_ENGLISH } from '../../pipeline/words/page-en.ts';
import { atPlace, pageBrowser, violations } from './page-browser.ts';
import { publishSmall } from './page-catalogue.ts';

let folder: string;
let browser: Browser;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'bandwright-german-'));
  await publishSmall(folder, 'de');
  browser = await pageBrowser();
});
afterAll(async () => {
  await browser?.close();
  await rm(folder, { recursive: true, force: true });
});

/** Words that German does not share; the sample catalogue's own labels are English and hold none of them. */
const ENGLISH =
  /\b(the|and|wide|inside|outside|thickness|circumference|sizes|order|find|choose|compare|close|next|previous|passed|limit|files|pictures|pairs|approx|noise|model keys|drag|colourways?|show all|larger)\b/gi;

it.each(['', '#item=T-50-yellow-18', '#item=T-pair', '#compare=T-50-yellow-18%2CT-60-platinum-950'])(
  'has no English word and is accessible at "%s"',
  (hash) =>
    atPlace(browser, folder, hash, async (page) => {
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
  atPlace(browser, folder, '#item=T-50-yellow-18', async (page) => {
    const text = await page.$eval('.facts', (e) => e.textContent ?? '');
    expect(text).toContain('15,92\u00a0mm'); // 50 / π
    expect(text).not.toContain('15.92');
  }));

it('orders by price and shows it only where every band has one', async () => {
  const catalogue = catalogueSchema.parse(JSON.parse(await readFile(join(folder, 'catalogue.json'), 'utf8')));
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
