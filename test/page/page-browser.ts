/** A browser without network, to look at a finished catalogue's page as a reader would. */
import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';
import { type Browser, launch, type Page } from 'puppeteer';
import { expect } from 'vitest';
import { CACHE_DIR } from '../../pipeline/store/installation.mjs';
import { findBrowsers } from '../../pipeline/tracer/browser-search.mjs';

const FLAGS = [
  '--no-sandbox',
  '--no-proxy-server',
  '--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1',
  // every process costs a start, and a page that is opened in one that has shown others finds its code compiled
  '--enable-features=NetworkServiceInProcess2',
  '--renderer-process-limit=1',
  // a page is seen for a second: to optimise its scripts costs more than it saves
  '--js-flags=--no-opt,--no-maglev',
];
const NO_WEBGL = ['--disable-gpu', '--disable-software-rasterizer'];
const SOFTWARE_WEBGL = ['--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--ignore-gpu-blocklist'];

/** ms for whatever a page is waited for: tests end by what they see, and a slow machine shows it late. */
const PATIENCE = 180_000;

/**
 * @param draws whether its pages have WebGL, in software, by which whatever they show takes three times as long
 * @throws Error if no browser starts
 */
export async function pageBrowser({ draws = false } = {}): Promise<Browser> {
  const faults: string[] = [];
  for await (const found of findBrowsers({ cacheDir: CACHE_DIR })) {
    if (found.fault) continue;
    try {
      const browser = await launch({
        executablePath: found.path,
        env: { ...process.env, ...found.env },
        headless: 'shell',
        args: [...FLAGS, ...(draws ? SOFTWARE_WEBGL : NO_WEBGL)],
        ignoreDefaultArgs: ['about:blank'],
        waitForInitialPage: false,
        timeout: PATIENCE,
        protocolTimeout: PATIENCE,
      });
      // the process of pages lives as long as one of them is open
      await browser.newPage();
      return browser;
    } catch (error) {
      faults.push(String(error));
    }
  }
  throw new Error(`no browser: ${faults.join('; ')}`);
}

export interface Reader {
  page: Page;
  /** what the console and the network complained of, and every request for something that is no file of the folder */
  complaints: string[];
}

export interface Screen {
  width: number;
  height?: number;
  theme?: 'light' | 'dark';
  stillness?: boolean;
}

/** Opens an address on a screen of a given size and theme. `home` is what every request must begin with. */
export async function openAt(
  browser: Browser,
  url: string,
  home: string,
  { width, height = 900, theme = 'light', stillness = false }: Screen,
): Promise<Reader> {
  const page = await browser.newPage();
  page.setDefaultTimeout(PATIENCE);
  const complaints: string[] = [];
  page.on('console', (message) => {
    if (['error', 'warn'].includes(message.type())) complaints.push(message.text());
  });
  page.on('pageerror', (error) => complaints.push(String(error)));
  page.on('requestfailed', (r) => {
    const { errorText = '' } = r.failure() ?? {};
    // a page that is left, or shows another picture, calls off what it still waited for
    if (errorText !== 'net::ERR_ABORTED') complaints.push(`${r.url()}: ${errorText}`);
  });
  page.on('request', (r) => {
    if (!r.url().startsWith(home) && !r.url().startsWith('data:')) complaints.push(`asked for ${r.url()}`);
  });
  await page.setViewport({ width, height });
  await page.emulateMediaFeatures([
    { name: 'prefers-color-scheme', value: theme },
    { name: 'prefers-reduced-motion', value: stillness ? 'reduce' : 'no-preference' },
  ]);
  await page.goto(url, { waitUntil: 'load' });
  return { page, complaints };
}

/**
 * Opens a place of a catalogue from disk, lets `see` look at it, and expects no complaint of console or network.
 */
export async function atPlace<T>(
  browser: Browser,
  folder: string,
  hash: string,
  see: (page: Page) => Promise<T>,
  screen: Screen = { width: 1280 },
): Promise<T> {
  const home = `${pathToFileURL(folder).href}/`;
  const { page, complaints } = await openAt(browser, `${home}index.html${hash}`, home, screen);
  try {
    await page.waitForSelector('html[data-ready]');
    if (/item=(?!T-gone)|compare=/.test(hash)) await page.waitForSelector('dialog[open] h2');
    const seen = await see(page);
    expect(complaints).toEqual([]);
    return seen;
  } finally {
    await page.close();
  }
}

/** The button of the large view that brings a picture or model of this name onto the stage. */
export async function choice(page: Page, label: string) {
  for (const made of await page.$$('.choice'))
    if ((await made.evaluate((e) => e.textContent))?.includes(label)) return made;
  throw new Error(`no choice ${label}`);
}

export const press = (page: Page, selector: string) =>
  page.$eval(selector, (e) => (e as HTMLElement).click());

const AXE = createRequire(import.meta.url).resolve('axe-core/axe.min.js');

/** What axe-core finds against WCAG 2.0 to 2.2, levels A and AA. */
export async function violations(page: Page): Promise<string[]> {
  if (!(await page.evaluate(() => 'axe' in globalThis))) await page.evaluate(await readFile(AXE, 'utf8'));
  const found = await page.evaluate(async () => {
    const tags = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
    const { axe } = globalThis as unknown as { axe: typeof import('axe-core') };
    const { violations, passes } = await axe.run(document, {
      runOnly: tags,
      preload: false,
      // what passes is counted by rules; to name each of its elements took longer than all checks
      resultTypes: ['violations'],
    });
    return {
      passes: passes.length,
      violations: violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.html).join(' ')}`),
    };
  });
  expect(found.passes).toBeGreaterThan(10);
  return found.violations;
}
