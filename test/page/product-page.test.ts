/** Pages of items: what stands in them, that their HTML is valid, and that they are accessible on every screen. */
import { readFileSync } from 'node:fs';
import { mkdtemp, readdir, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { HtmlValidate } from 'html-validate';
import type { Browser, Page } from 'puppeteer';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { CatalogueMeta } from '../../pipeline/publish/catalogue.ts';
import { SAMPLE_SHOP } from '../publish/sample-items.ts';
import { openAt, pageBrowser, type Screen, violations } from './page-browser.ts';
import { MARKUP, publishSmall } from './page-catalogue.ts';

const SHOP: CatalogueMeta['shop'] = {
  ...SAMPLE_SHOP,
  page: 'https://example.com/rings/{sku}',
  enquire: 'mailto:bench@example.com',
};

let folder: string;
let browser: Browser;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'bandwright-product-'));
  await publishSmall(folder, 'en', { shop: SHOP, names: { left: 'Polished side' } });
  browser = await pageBrowser();
});
afterAll(async () => {
  await browser?.close();
  await rm(folder, { recursive: true, force: true });
});

const SKU = 'T-50-yellow-18';
const text = (file: string) => readFile(join(folder, file), 'utf8');
async function at<T>(file: string, screen: Screen, see: (page: Page) => Promise<T>): Promise<T> {
  const home = `${pathToFileURL(folder).href}/`;
  const { page, complaints } = await openAt(browser, home + file, home, screen);
  try {
    const seen = await see(page);
    expect(complaints).toEqual([]);
    return seen;
  } finally {
    await page.close();
  }
}

/** Rules of html-validate (html-validate.org, by the WHATWG's HTML standard and WCAG), with what is a matter of taste left out. */
const validator = new HtmlValidate({
  extends: ['html-validate:recommended'],
  rules: {
    'long-title': 'off',
    'form-dup-name': ['error', { shared: ['radio', 'checkbox'] }],
    'doctype-style': 'off',
    'no-inline-style': 'off',
    'no-trailing-whitespace': 'off',
    'attribute-boolean-style': 'off',
    'attribute-empty-style': 'off',
    // a title beside a name that is read out is no fault
    'no-redundant-aria-label': 'off',
  },
});

describe('HTML', () => {
  it('is valid in every page of the folder', async () => {
    const pages = ['index.html', ...(await readdir(join(folder, 'products'))).map((f) => `products/${f}`)];
    expect(pages).toHaveLength(8);
    for (const page of pages) {
      const report = await validator.validateString(await text(page));
      const told = report.results.flatMap((r) =>
        r.messages.map((m) => `${m.ruleId}: ${m.message} at ${m.line}:${m.column}`),
      );
      expect(told, page).toEqual([]);
    }
  });

  it('would be found wrong if it were', async () => {
    const report = await validator.validateString(
      '<!doctype html><html><body><ul><p>x</p></ul><img src="a">',
    );
    expect(report.valid).toBe(false);
  });
});

describe('a product page', () => {
  it('describes its item to who finds it, is sent it or reads it by machine', async () => {
    const html = await text(`products/${SKU}.html`);
    const meta = (name: string) =>
      new RegExp(`<meta (?:name|property)="${name}" content="([^"]*)"`).exec(html)?.[1];
    const own = `https://example.com/bands/products/${SKU}.html`;
    expect(html).toContain(`<link rel="canonical" href="${own}">`);
    expect(/<title>([^<]*)/.exec(html)?.[1]).toBe(
      'Wedding band, alloy yellow-18, set with Natural diamond, 4.7 mm wide, ISO 50 – Sample workshop',
    );
    expect(meta('description')).toMatch(/^Wedding band of alloy yellow-18\. 4\.7 mm wide/);
    expect(meta('description')!.length).toBeLessThanOrEqual(160);
    // the four that Open Graph asks of every page (ogp.me)
    expect([meta('og:type'), meta('og:url')]).toEqual(['product', own]);
    expect(meta('og:title')).toContain('Wedding band');
    expect(meta('og:image')).toMatch(/^https:\/\/example\.com\/bands\/T-50-yellow-18\/.*\?v=[0-9a-f]{8}$/);
    const data = JSON.parse(/ld\+json">(.*?)<\/script>/s.exec(html)![1]);
    expect(data).toMatchObject({ '@context': 'https://schema.org/', '@type': 'Product', sku: SKU });
    // lanes by their names for readers
    expect(html).toContain('<small>Polished side, Right</small>');
    // drawings are closed: a shape within a shape is not drawn
    expect(html).toContain('</path><path');
    // markup of a config stays text
    expect(html).not.toContain(MARKUP);
  });

  it('gives every picture at an address of its content, in several widths', async () => {
    const html = await text(`products/${SKU}.html`);
    const [, srcset] = /srcset="([^"]*)"/.exec(html)!;
    const entry = JSON.parse(await text('catalogue.json')).items[0];
    const files = entry.shots[0].pictures.filter((p: { role: string }) => p.role === 'picture');
    for (const { file, sha256, width } of files)
      expect(srcset).toContain(`../${file}?v=${sha256.slice(0, 8)} ${width}w`);
  });

  it('leads to other choices, the shop and an enquiry that names the choice, without script', () =>
    at(`products/${SKU}.html`, { width: 1280 }, async (page) => {
      expect(await page.$$('script:not([type="application/ld+json"])')).toEqual([]);
      const links = await page.$$eval('.acts a', (all) => all.map((a) => (a as HTMLAnchorElement).href));
      expect(links[0]).toBe(`https://example.com/rings/${SKU}`);
      const mail = new URL(links[1]);
      expect(mail.pathname).toBe('bench@example.com');
      expect(mail.searchParams.get('subject')).toBe(`Band of yellow-18 (${SKU})`);
      expect(mail.searchParams.get('body')).toContain(`https://example.com/bands/products/${SKU}.html`);
      await Promise.all([page.waitForNavigation(), page.click('nav.pick a[href$="T-60-yellow-18.html"]')]);
      expect(await page.$eval('.sku', (e) => e.textContent)).toBe('T-60-yellow-18');
      await Promise.all([page.waitForNavigation(), page.click('.home a')]);
      await page.waitForSelector('dialog[open] h2');
    }));

  // without script, of its screen it is told by style alone
  it('is accessible and no wider than the screen at 390, 768 and 1440 px, light and dark', () =>
    at(`products/${SKU}.html`, { width: 390 }, async (page) => {
      for (const width of [390, 768, 1440]) {
        await page.setViewport({ width, height: 900 });
        for (const value of ['light', 'dark']) {
          await page.emulateMediaFeatures([{ name: 'prefers-color-scheme', value }]);
          const where = `at ${width}, ${value}`;
          expect(await violations(page), where).toEqual([]);
          const wider = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
          expect(wider, where).toBeLessThanOrEqual(0);
        }
      }
      // a page that was looked at is looked at anew
      await page.$eval('.sku', (sku) => {
        Object.assign((sku as HTMLElement).style, { color: '#777', backgroundColor: '#888' });
        document.body.append(new Image());
      });
      const found = (await violations(page)).map((v) => v.split(':')[0]);
      expect(found).toEqual(expect.arrayContaining(['color-contrast', 'image-alt']));
    }));
});

describe('sitemap.xml', () => {
  it('names the catalogue and each page, by the protocol of sitemaps.org', () => {
    const xml = readFileSync(join(folder, 'sitemap.xml'), 'utf8');
    expect(xml).toContain('xmlns="http://www.sitemaps.org/schemas/sitemap/0.9"');
    const places = [...xml.matchAll(/<loc>([^<]*)<\/loc>/g)].map((m) => m[1]);
    expect(places).toHaveLength(8);
    expect(places[0]).toBe('https://example.com/bands/');
    expect(places).toContain(`https://example.com/bands/products/${SKU}.html`);
  });
});
