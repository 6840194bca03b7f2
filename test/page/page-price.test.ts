/** Orders by price, and turning by hand, in the reader's browser. */
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser } from 'puppeteer';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { catalogueSchema } from '../../pipeline/facts/catalogue-schema.ts';
import { indexPage } from '../../pipeline/page/index-page.ts';
import { pageParts } from '../../pipeline/page/page-index.ts';
import { SHELF } from '../../pipeline/page/reader/page-data.ts';
import { choicesScript, pageCode } from '../../pipeline/publish/page-files.ts';
import { atPlace, choice, pageBrowser } from './page-browser.ts';
import { FRAMES, publishSmall } from './page-catalogue.ts';

/** One band has no price, as where a rate is missing; the pair costs both of its bands. */
const PRICES: Record<string, number | undefined> = {
  'T-50-yellow-18': 1200,
  'T-50-rose-18': 999.5,
  'T-50-platinum-950': 1800,
  'T-60-yellow-18': 10500,
  'T-60-rose-18': undefined,
  'T-60-platinum-950': 2100,
};

let folder: string;
let browser: Browser;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'bandwright-page-price-'));
  await publishSmall(folder);
  const catalogue = catalogueSchema.parse(JSON.parse(await readFile(join(folder, 'catalogue.json'), 'utf8')));
  const items = catalogue.items.map((item) => ({
    ...item,
    bands: item.bands.map((band) => {
      const total = PRICES[band.sku];
      return total === undefined ? band : { ...band, price: { total, currency: 'EUR' } };
    }),
  }));
  const priced = { ...catalogue, items };
  await writeFile(join(folder, 'index.html'), indexPage(priced, await pageCode()));
  await writeFile(join(folder, 'page/choices.js'), choicesScript(priced));
  for (const { file, details } of pageParts(priced))
    await writeFile(
      join(folder, file),
      `(globalThis.${SHELF}??={})[${JSON.stringify(file)}]=${JSON.stringify(details)};`,
    );
  browser = await pageBrowser();
});
afterAll(async () => {
  await browser?.close();
  await rm(folder, { recursive: true, force: true });
});

it('sorts by price both ways, pairs by the sum of their bands, what has no price last', () =>
  atPlace(browser, folder, '#view=looks', async (page) => {
    const skus = () => page.$$eval('.cards li', (cards) => cards.map((c) => (c as HTMLElement).dataset.sku));
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
    atPlace(browser, folder, hash, (page) => page.$eval(selector, (e) => e.textContent ?? ''));
  const price = '€1,200.00';
  expect(await text('', '[data-sku="T-50-yellow-18"] .cost')).toBe(price);
  expect(await text('#item=T-50-yellow-18', '.facts .price')).toBe(`Price: ${price}`);
  // the pair costs both of its bands
  const row = await atPlace(browser, folder, '#compare=T-50-yellow-18%2CT-pair', (page) =>
    page.$eval('.both tbody tr', (e) => [...e.children].map((c) => c.textContent)),
  );
  expect(row).toEqual([expect.stringMatching(/^Price/), price, '€3,300.00']);
});

it('scrubs the turntable: a drag follows the hand beyond the picture, once across is once round', () =>
  atPlace(browser, folder, '#item=T-50-yellow-18', async (page) => {
    await (await choice(page, 'Turntable')).click();
    const frame = () =>
      page.$eval('.turn img', (i) => Number(/spin-0(\d)/.exec((i as HTMLImageElement).src)?.[1]));
    const box = (await (await page.$('.turn'))!.boundingBox())!;
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    const step = box.width / FRAMES;
    await page.mouse.move(x, y);
    await page.mouse.down();
    const seen = [];
    for (let i = 1; i <= 2 * FRAMES; i++) {
      await page.mouse.move(x - i * step, y + 200);
      seen.push(await frame());
    }
    // backwards, twice round, the second time with the hand far outside
    const back = Array.from({ length: 2 * FRAMES }, (_, i) => ((2 * FRAMES - 1 - i) % FRAMES) + 1);
    expect(seen).toEqual(back);
    await page.mouse.up();
    await page.mouse.move(x, y);
    expect(await frame()).toBe(seen.at(-1));
    // the band follows the main button only
    await page.mouse.down({ button: 'right' });
    await page.mouse.move(x + 3 * step, y);
    await page.mouse.up({ button: 'right' });
    expect(await frame()).toBe(seen.at(-1));
    const slider = (await page.$('input[type=range]'))!;
    await slider.focus();
    await page.keyboard.press('End');
    expect(await frame()).toBe(FRAMES);
    expect(await slider.evaluate((s) => s.getAttribute('aria-valuetext'))).toBe(
      `${Math.round((360 * (FRAMES - 1)) / FRAMES)} degrees`,
    );
    expect(await page.$eval('.turn img', (i) => (i as HTMLImageElement).alt)).toContain(`frame ${FRAMES}`);
  }));
