/**
 * Starting and ending the headless browser. One that is started here is ended here, with all its processes and its
 * profile folder, whatever happens in between: at `close`, when this process exits, and, because the browser talks
 * through a pipe that breaks with this process, even after `kill -9`.
 */
import { spawn } from 'node:child_process';
import { existsSync, mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Readable, Writable } from 'node:stream';
import type { Browser } from 'puppeteer';
import { ProblemError } from '../problem.ts';
import { type BrowserFitness, browserFitness } from './browser-fitness.ts';
import { launchInTime, SilentBrowser } from './browser-launch.ts';
import { end, gone, kill, PROFILE, remove, settles, sweepProfiles } from './browser-process.ts';
import { BROWSER_VARIABLE, browserAdvice, type FoundBrowser, findBrowsers } from './browser-search.mjs';
import { KeptPages } from './kept-pages.ts';

export interface OpenBrowser {
  browser: Browser;
  found: FoundBrowser;
  /** e.g. `HeadlessChrome/143.0.7499.0` */
  version: string;
  fitness: BrowserFitness;
  /** false when the browser runs without its own sandbox */
  sandboxed: boolean;
  /** of takes, and of prints */
  pages: KeptPages;
  printing: KeptPages;
  /** ends the browser; never throws */
  close(): Promise<void>;
  /** ends it without asking, for one that does not answer */
  kill(): void;
}

const FLAGS = [
  '--disable-quic',
  '--no-proxy-server',
  '--no-pings',
  '--disable-domain-reliability',
  '--noerrdialogs',
  // Pages let go of what they have sent; see page.ts.
  '--js-flags=--expose-gc',
  // Our page is all it will ever load; a browser that asks for nothing needs no network.
  '--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1',
  // A network process can be lost by itself: the browser starts another, but what pages asked for meanwhile never comes.
  '--enable-features=NetworkServiceInProcess2',
  // the profile goes with the browser, so nothing need be written to it
  '--incognito',
];

/** Without a graphics card nothing of the browser's can fail by it. */
const CARDLESS = ['--disable-gpu'];

/** What draws nothing needs no software renderer either; the system's graphics drivers would be loaded to look for it. */
const TRACING = [...CARDLESS, '--disable-software-rasterizer'];

/** WebGPU by whatever card the machine has, or, for tests, by the processor. */
const CARD = [
  '--enable-unsafe-webgpu',
  // which names the driver
  '--enable-webgpu-developer-features',
  '--enable-features=Vulkan',
  '--ignore-gpu-blocklist',
];
const SOFTWARE_CARD = [...CARD, '--use-webgpu-adapter=swiftshader'];

/** WebGL by the software renderer that comes with Chromium, whatever the machine has. */
const DRAWING = [
  ...CARDLESS,
  '--use-angle=swiftshader',
  '--enable-unsafe-swiftshader',
  '--ignore-gpu-blocklist',
];

const USES = { tracing: TRACING, drawing: DRAWING, card: CARD, 'software-card': SOFTWARE_CARD };

/** What a browser is for, which decides what it is given of the machine's graphics. */
export type BrowserUse = keyof typeof USES;

/**
 * Starts the first browser that starts and is fit. `blank` is the page server's blank page.
 * Throws a ProblemError (code `no-browser`) that tells what was tried and how to get one.
 */
export async function openBrowser(options: {
  blank: string;
  cacheDir: string;
  env?: Record<string, string | undefined>;
  /** for drawing with WebGL, in software; or for tracing with a graphics card */
  use?: BrowserUse;
  /** whether a sandbox is tried at all; where this is no container and nobody is root, unless given */
  sandboxed?: boolean;
}): Promise<OpenBrowser> {
  const { use = 'tracing', sandboxed = !insideContainer() } = options;
  const tried: string[] = [];
  for await (const found of findBrowsers(options)) {
    try {
      if (found.fault) throw new Error(found.fault);
      const opened = await start(found, options.blank, [...FLAGS, ...USES[use]], sandboxed);
      if (use === 'drawing') await opened.pages.clear();
      return opened;
    } catch (error) {
      tried.push(`${found.path} (${found.how}): ${error instanceof Error ? error.message : error}`);
    }
  }
  throw new ProblemError([
    {
      code: 'no-browser',
      severity: 'error',
      path: BROWSER_VARIABLE,
      expected: 'a Chrome or Chromium that starts here',
      received: tried.length ? tried.join('; ') : 'none on this machine',
      advice: browserAdvice(),
    },
  ]);
}

/**
 * ms for a browser to show that it can trace, try by try: 0.2 s on an idle machine. One whose helper processes were
 * killed while it starts never says so, and only waits; on a slow machine the next try has more time.
 */
const SHOWN_MS = [5000, 15_000, 60_000];
const TRIES = SHOWN_MS.length;
/** for a browser started by hand to say what is wrong */
const PATIENCE_MS = 30_000;

/** starts, and lacks what the tracer needs */
class UnfitBrowser extends Error {}

async function start(
  found: FoundBrowser,
  blank: string,
  flags: readonly string[],
  sandboxFirst: boolean,
): Promise<OpenBrowser> {
  let sandboxed = sandboxFirst;
  for (let attempt = 1; ; attempt++) {
    try {
      return await startOnce(found, blank, flags, sandboxed, SHOWN_MS[attempt - 1]);
    } catch (error) {
      if (error instanceof SilentBrowser && attempt < TRIES) continue;
      // a worker may have been killed under its hands: it is asked once more
      if (error instanceof UnfitBrowser && attempt === 1) continue;
      if (error instanceof UnfitBrowser) throw error;
      const said = await lastWords(found, sandboxed);
      if (sandboxed && said.state === 'refused' && /no usable sandbox|setuid sandbox/i.test(said.words)) {
        // Some systems forbid the user namespaces the sandbox is made of, and then no browser starts at all.
        // Without it is acceptable here: the browser sees no page but ours and no network.
        sandboxed = false;
        continue;
      }
      // One that starts by hand, or only takes long, was killed or starved: a night's run does not end for that.
      if (said.state !== 'refused' && attempt < TRIES) continue;
      throw said.words ? new Error(tellingLine(said.words)) : error;
    }
  }
}

interface LastWords {
  state: 'starts' | 'slow' | 'refused';
  words: string;
}

/**
 * Over a pipe puppeteer loses what a browser that fails has to say, so that it is started once more by hand, until it
 * answers. (Not with a page to print: embedded builds lack what that takes, and then never end.) It talks through a pipe
 * here too, so that it can't outlive this process.
 */
async function lastWords(found: FoundBrowser, sandboxed: boolean): Promise<LastWords> {
  const profile = mkdtempSync(join(tmpdir(), `${PROFILE}${process.pid}-`));
  const flags = [...(sandboxed ? FLAGS : [...FLAGS, '--no-sandbox']), `--user-data-dir=${profile}`];
  const child = spawn(found.path, ['--headless', '--remote-debugging-pipe', ...flags, 'about:blank'], {
    env: { ...process.env, ...found.env },
    stdio: ['ignore', 'ignore', 'pipe', 'pipe', 'pipe'],
    detached: process.platform !== 'win32',
  });
  const [, , errors, asked, answered] = child.stdio as [null, null, Readable, Writable, Readable];
  for (const pipe of [errors, asked, answered]) pipe.on('error', () => {});
  let timer: NodeJS.Timeout | undefined;
  try {
    return await new Promise((tell) => {
      let words = '';
      const slow = `did not answer within ${PATIENCE_MS / 1000} s`;
      timer = setTimeout(() => tell({ state: 'slow', words: slow }), PATIENCE_MS);
      errors.setEncoding('utf8').on('data', (text: string) => {
        words += text;
      });
      answered.once('data', () => tell({ state: 'starts', words: '' }));
      child.once('error', ({ message }) => tell({ state: 'refused', words: message }));
      child.once('close', (code) =>
        tell({ state: 'refused', words: words.trim() || `it ended with ${code ?? 'a signal'}` }),
      );
      asked.write(`${JSON.stringify({ id: 1, method: 'Browser.getVersion' })}\0`);
    });
  } finally {
    clearTimeout(timer);
    kill(child);
    await settles(gone(child), 2000);
    remove(profile);
  }
}

async function startOnce(
  found: FoundBrowser,
  blank: string,
  flags: readonly string[],
  sandboxed: boolean,
  shownMs: number,
): Promise<OpenBrowser> {
  sweepProfiles();
  const profile = mkdtempSync(join(tmpdir(), `${PROFILE}${process.pid}-`));
  const removeProfile = () => remove(profile);
  let browser: Browser | undefined;
  try {
    const args = sandboxed ? [...flags] : [...flags, '--no-sandbox'];
    browser = await launchInTime(found, profile, args, shownMs);
    const owned = browser;
    // puppeteer stops listening when it closes its pipes; a killed browser may still reset them afterwards, and an
    // error nobody listens to ends this process. What it means (the browser is gone) is told by 'disconnected'.
    for (const pipe of owned.process()?.stdio ?? []) pipe?.on('error', () => {});
    owned.process()?.once('exit', () => kill(owned.process()));
    // Registered after puppeteer's own handler, which kills the browser.
    process.once('exit', removeProfile);
    const pages = new KeptPages(browser, blank);
    const { version, fitness } = await shown(browser, blank, pages, shownMs);
    const lacks = Object.entries(fitness).filter(([, ok]) => !ok);
    if (lacks.length) throw new UnfitBrowser(`${version} lacks ${lacks.map(([name]) => name).join(', ')}`);
    const close = async () => {
      await end(owned);
      process.off('exit', removeProfile);
      removeProfile();
    };
    const printing = new KeptPages(browser, 'about:blank');
    const facts = { found, version, fitness, sandboxed };
    return { browser, ...facts, pages, printing, close, kill: () => kill(owned.process()) };
  } catch (error) {
    // one that is silent does not close when it is asked either
    if (error instanceof SilentBrowser) kill(browser?.process() ?? null);
    if (browser) await end(browser);
    process.off('exit', removeProfile);
    removeProfile();
    throw error;
  }
}

/** @throws SilentBrowser if it says nothing for so long, or its page crashes */
async function shown(browser: Browser, blank: string, pages: KeptPages, ms: number) {
  let version = '';
  let fitness: BrowserFitness | undefined;
  const crashed = new AbortController();
  const looking = (async () => {
    version = await browser.version();
    fitness = await inspect(pages, blank, () => crashed.abort());
  })();
  const crash = new Promise<never>((_, fail) => {
    crashed.signal.addEventListener('abort', () => fail(new SilentBrowser('its page crashed')));
  });
  crash.catch(() => {});
  await settles(Promise.race([looking, crash]), ms);
  if (fitness) return { version, fitness };
  throw new SilentBrowser(`it showed no page within ${ms / 1000} s`);
}

/** The page that is looked at is the first take's. */
async function inspect(pages: KeptPages, blank: string, onCrash: () => void): Promise<BrowserFitness> {
  const page = await pages.open();
  page.once('error', onCrash);
  await page.goto(blank);
  const fitness = await browserFitness(page);
  pages.keep(page);
  return fitness;
}

/** Root may not use the sandbox, and in containers its namespaces are commonly forbidden. */
export function insideContainer(
  user = process.getuid?.(),
  exists: (file: string) => boolean = existsSync,
): boolean {
  return user === 0 || ['/.dockerenv', '/run/.containerenv'].some(exists);
}

/** The line of a browser's standard error that tells most. */
function tellingLine(text: string): string {
  const lines = text.split('\n').map((line) => line.trim());
  const telling = lines.find((line) => /error|fatal|fail|cannot|sandbox|missing/i.test(line)) ?? lines[0];
  return telling.slice(0, 300);
}
