/** A browser with software WebGL and no network, to look at a finished catalogue's page as a reader would. */
import { type Browser, launch, type Page } from 'puppeteer';
import { findBrowsers } from '../../pipeline/tracer/browser-search.mjs';
import { CACHE_DIR } from '../../pipeline/tracer/built-files.mjs';

const FLAGS = [
  '--no-sandbox',
  '--no-proxy-server',
  '--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1',
  '--use-angle=swiftshader',
  '--enable-unsafe-swiftshader',
  '--ignore-gpu-blocklist',
];

/** @throws Error if no browser starts */
export async function pageBrowser(): Promise<Browser> {
  const faults: string[] = [];
  for await (const found of findBrowsers({ cacheDir: CACHE_DIR })) {
    if (found.fault) continue;
    try {
      return await launch({
        executablePath: found.path,
        env: { ...process.env, ...found.env },
        headless: 'shell',
        args: FLAGS,
        protocolTimeout: 120_000,
      });
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
  const complaints: string[] = [];
  page.on('console', (message) => {
    if (['error', 'warn'].includes(message.type())) complaints.push(message.text());
  });
  page.on('pageerror', (error) => complaints.push(String(error)));
  page.on('requestfailed', (r) => complaints.push(`${r.url()}: ${r.failure()?.errorText}`));
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
