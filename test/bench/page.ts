/**
 * The catalogue's page with 1,000 SKUs, written by the real writer and opened from disk: from the start of navigation
 * until the cards of the first screen stand with their pictures decoded; all that follows is measured with the items there.
 */
import { mkdtemp, rm, stat } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser } from 'puppeteer';
import { type CatalogueItem, publishCatalogue } from '../../pipeline/publish/catalogue.ts';
import { openAt, pageBrowser } from '../page/page-browser.ts';
import { discPicture } from '../page/page-catalogue.ts';
import { sampleBand, sampleMeta } from '../publish/sample-items.ts';
import { type Measurement, median } from './measurement.ts';

const AXES = {
  size: Array.from({ length: 10 }, (_, i) => `ISO ${48 + 2 * i}`),
  width: ['4 mm', '4.5 mm', '5 mm', '6 mm'],
  metal: ['Yellow on white', 'Rose on white', 'White on yellow', 'Platinum', 'Yellow 22 ct'],
  stone: ['Diamond', 'Champagne diamond', 'Ruby', 'Blue sapphire', 'Emerald'],
};

export const cataloguePage: Measurement = {
  name: 'page',
  about:
    'the catalogue’s page with 1,000 SKUs, from disk: first view, one more tick, first large view (wall clock)',
  async run({ quick, record, say }) {
    const folder = await mkdtemp(join(tmpdir(), 'bandwright-bench-page-'));
    let browser: Browser | undefined;
    try {
      const start = performance.now();
      const count = await publishGrid(folder);
      const { size } = await stat(join(folder, 'index.html'));
      say(`${count} SKUs written in ${((performance.now() - start) / 1000).toFixed(1)} s`);
      record('index_1000_kB', size / 1000, 'kB');
      record('choices_1000_kB', (await stat(join(folder, 'page/choices.js'))).size / 1000, 'kB');
      browser = await pageBrowser({ draws: true });
      const rounds: Awaited<ReturnType<typeof look>>[] = [];
      for (let i = 0; i < (quick ? 2 : 7); i++) rounds.push(await look(browser, folder));
      // the first round only warms the browser up
      const of = (name: keyof (typeof rounds)[number]) => median(rounds.slice(1).map((r) => r[name]));
      record('index_1000_first_view_ms', of('first'), 'ms');
      record('index_1000_tick_ms', of('tick'), 'ms');
      record('index_1000_large_view_ms', of('large'), 'ms');
    } finally {
      await browser?.close();
      await rm(folder, { recursive: true, force: true });
    }
  },
};

/** As text: what compiles this file marks functions by a name that the page does not know. */
const WATCH = `
  const seen = () => {
    const counted = document.querySelector('.found')?.textContent;
    const pictures = [...document.querySelectorAll('.cards img')].filter((i) => i.getBoundingClientRect().top < innerHeight);
    const whole = pictures.length > 0 && pictures.every((i) => i.complete && i.naturalWidth > 0);
    if (!counted || !whole) return void requestAnimationFrame(seen);
    // what this frame shows is there when the next begins
    requestAnimationFrame(() => {
      document.documentElement.dataset.firstView = String(performance.now());
    });
  };
  requestAnimationFrame(seen);
`;

/** Times in the page's own clock, which starts with the navigation. */
async function look(
  browser: Browser,
  folder: string,
): Promise<{ first: number; tick: number; large: number }> {
  const home = `${pathToFileURL(folder).href}/`;
  const { page, complaints } = await openAt(browser, 'about:blank', home, { width: 1280 });
  complaints.length = 0;
  await page.evaluateOnNewDocument(WATCH);
  await page.goto(`${home}index.html`);
  await page.waitForSelector('html[data-first-view]');
  const first = Number(await page.$eval('html', (e) => e.dataset.firstView));
  await page.waitForSelector('html[data-ready]');
  const tick = await page.evaluate(async () => {
    const before = performance.now();
    document.querySelector<HTMLElement>('input[value="Ruby"]')?.click();
    await new Promise((r) => requestAnimationFrame(() => requestAnimationFrame(r)));
    if (!document.querySelector('.found')?.textContent?.startsWith('200 of 1000'))
      throw new Error('the tick did not choose');
    return performance.now() - before;
  });
  const large = await page.evaluate(async () => {
    const before = performance.now();
    document.querySelector<HTMLElement>('.cards a')?.click();
    while (!document.querySelector('dialog[open] table')) await new Promise((r) => requestAnimationFrame(r));
    return performance.now() - before;
  });
  await page.close();
  if (complaints.length > 0) throw new Error(complaints.join('; '));
  return { first, tick, large };
}

async function publishGrid(folder: string): Promise<number> {
  const pictures = [
    await discPicture(960, '#d9b86a'),
    await discPicture(480, '#d9b86a'),
    await discPicture(320, '#d9b86a', 'thumbnail'),
  ];
  const check = {
    severity: 'error' as const,
    limit: '≥ 0.10 mm',
    place: 'row crest',
    source: 'common practice',
  };
  const items: CatalogueItem[] = [];
  for (const size of AXES.size)
    for (const width of AXES.width)
      for (const metal of AXES.metal)
        for (const stone of AXES.stone) {
          const sku = `K-${items.length + 1}`;
          items.push({
            sku,
            kind: 'variant',
            title: `${metal}, ${stone}`,
            bands: [
              sampleBand(sku, {
                axes: { size, width, metal, stone },
                circumferenceMm: Number(size.slice(4)),
                widthMm: Number.parseFloat(width),
                checks: Array.from({ length: 12 }, (_, i) => ({
                  ...check,
                  rule: `rule-${i}`,
                  passed: true,
                  measured: '0.14 mm',
                })),
                model: undefined,
              }),
            ],
            shots: ['three-quarter', 'flat-lay'].map((name) => ({
              name,
              label: name,
              alt: `A band of ${metal} with ${stone}, ${size}, ${name}`,
              frameMm: 26,
              noise: { target: 0.05, reached: 0.05, passes: 100 },
              pictures,
            })),
            cautions: [],
            keys: { [`solid ${sku}`]: `${size} ${width}` },
            versions: {},
          });
        }
  const axes = Object.entries(AXES).map(([name, labels]) => ({
    name,
    values: labels.map((label) => ({ label, slug: label })),
  }));
  await publishCatalogue(
    folder,
    items,
    sampleMeta(
      items.map((i) => i.sku),
      { axes, models: [] },
    ),
  );
  return items.length;
}
