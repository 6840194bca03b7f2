/**
 * Starting and ending the headless browser. One that is started here is ended here, with all its processes and its
 * profile folder, whatever happens in between: at `close`, when this process exits, and, because the browser talks
 * through a pipe that breaks with this process, even after `kill -9`.
 */
import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser } from 'puppeteer';
import { ProblemError } from '../problem.ts';
import { type BrowserFitness, browserFitness } from './browser-fitness.ts';
import { BROWSER_VARIABLE, browserAdvice, type FoundBrowser, findBrowsers } from './browser-search.mjs';

export interface OpenBrowser {
  browser: Browser;
  found: FoundBrowser;
  /** e.g. `HeadlessChrome/143.0.7499.0` */
  version: string;
  fitness: BrowserFitness;
  /** false when the browser runs without its own sandbox */
  sandboxed: boolean;
  /** ends the browser; never throws */
  close(): Promise<void>;
  /** ends it without asking, for one that does not answer */
  kill(): void;
}

const PROFILE = 'bandwright-browser-';

const FLAGS = [
  '--disable-gpu',
  '--disable-quic',
  '--no-proxy-server',
  '--no-pings',
  '--disable-domain-reliability',
  '--noerrdialogs',
  // Pages let go of what they have sent; see page.ts.
  '--js-flags=--expose-gc',
  // Our page is all it will ever load; a browser that asks for nothing needs no network.
  '--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1',
];

/** WebGL by the software renderer that comes with Chromium, whatever the machine has. */
const DRAWING = ['--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--ignore-gpu-blocklist'];

/**
 * Starts the first browser that starts and is fit. `blank` is the page server's blank page.
 * Throws a ProblemError (code `no-browser`) that tells what was tried and how to get one.
 */
export async function openBrowser(options: {
  blank: string;
  cacheDir: string;
  env?: Record<string, string | undefined>;
  /** for drawing with WebGL, in software */
  draws?: boolean;
}): Promise<OpenBrowser> {
  const tried: string[] = [];
  for await (const found of findBrowsers(options)) {
    try {
      if (found.fault) throw new Error(found.fault);
      return await start(found, options.blank, options.draws ? [...FLAGS, ...DRAWING] : FLAGS);
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

async function start(found: FoundBrowser, blank: string, flags: readonly string[]): Promise<OpenBrowser> {
  const sandboxed = !insideContainer();
  try {
    return await startOnce(found, blank, flags, sandboxed);
  } catch (error) {
    const said = lastWords(found, sandboxed);
    // Some systems forbid the user namespaces the sandbox is made of, and then no browser starts at all.
    // Without it is acceptable here: the browser sees no page but ours and no network.
    if (sandboxed && /no usable sandbox|setuid sandbox/i.test(said))
      return startOnce(found, blank, flags, false);
    throw said ? new Error(tellingLine(said)) : error;
  }
}

/**
 * Over a pipe puppeteer loses what a browser that fails has to say, so that it is started once more by hand: empty
 * when it starts this time.
 */
function lastWords(found: FoundBrowser, sandboxed: boolean): string {
  const profile = mkdtempSync(join(tmpdir(), `${PROFILE}${process.pid}-`));
  const flags = [...(sandboxed ? FLAGS : [...FLAGS, '--no-sandbox']), `--user-data-dir=${profile}`];
  const { status, error, stderr } = spawnSync(
    found.path,
    ['--headless', ...flags, '--dump-dom', 'about:blank'],
    {
      env: { ...process.env, ...found.env },
      encoding: 'utf8',
      timeout: 15_000,
    },
  );
  remove(profile);
  if (status === 0) return '';
  return error?.message || stderr.trim() || `it ended with ${status ?? 'a signal'}`;
}

async function startOnce(
  found: FoundBrowser,
  blank: string,
  flags: readonly string[],
  sandboxed: boolean,
): Promise<OpenBrowser> {
  const { launch } = await import('puppeteer');
  sweepProfiles();
  const profile = mkdtempSync(join(tmpdir(), `${PROFILE}${process.pid}-`));
  const removeProfile = () => remove(profile);
  let browser: Browser | undefined;
  try {
    browser = await launch({
      executablePath: found.path,
      env: { ...process.env, ...found.env },
      headless: 'shell',
      pipe: true,
      userDataDir: profile,
      args: sandboxed ? [...flags] : [...flags, '--no-sandbox'],
      timeout: 60_000,
      protocolTimeout: 60_000,
      // Interrupts are the run's business; it closes the tracer in its own time.
      handleSIGINT: false,
      handleSIGTERM: false,
      handleSIGHUP: false,
    });
    const owned = browser;
    // puppeteer stops listening when it closes its pipes; a killed browser may still reset them afterwards, and an
    // error nobody listens to ends this process. What it means (the browser is gone) is told by 'disconnected'.
    for (const pipe of owned.process()?.stdio ?? []) pipe?.on('error', () => {});
    owned.process()?.once('exit', () => kill(owned));
    // Registered after puppeteer's own handler, which kills the browser.
    process.once('exit', removeProfile);
    const version = await browser.version();
    const fitness = await inspect(browser, blank);
    const lacks = Object.entries(fitness).filter(([, ok]) => !ok);
    if (lacks.length) throw new Error(`${version} lacks ${lacks.map(([name]) => name).join(', ')}`);
    const close = async () => {
      await end(owned);
      process.off('exit', removeProfile);
      removeProfile();
    };
    return { browser, found, version, fitness, sandboxed, close, kill: () => kill(owned) };
  } catch (error) {
    if (browser) await end(browser);
    process.off('exit', removeProfile);
    removeProfile();
    throw error;
  }
}

async function inspect(browser: Browser, blank: string): Promise<BrowserFitness> {
  const page = await browser.newPage();
  await page.goto(blank);
  const fitness = await browserFitness(page);
  await page.close();
  return fitness;
}

/** Asks the browser to close, then kills whatever of it is left. */
async function end(browser: Browser): Promise<void> {
  const child = browser.process();
  const gone = new Promise<void>((resolve) => {
    if (!child || child.exitCode !== null || child.signalCode !== null) resolve();
    else child.once('exit', () => resolve());
  });
  const closed = browser.close().catch(() => {});
  await settles(Promise.all([closed, gone]), 5000);
  kill(browser);
  await settles(gone, 2000);
}

/**
 * On POSIX the browser leads a process group of its own, and all of it goes: what we started may be a shell script
 * around the browser (Debian's is), so that its end alone says nothing.
 */
function kill(browser: Browser): void {
  const child = browser.process();
  try {
    if (!child?.pid) return;
    if (process.platform !== 'win32') process.kill(-child.pid, 'SIGKILL');
    else child.kill('SIGKILL');
  } catch {
    // Nothing was left.
  }
}

/** Best effort: what a dying process still writes is swept by a later start. */
function remove(profile: string): void {
  try {
    rmSync(profile, { recursive: true, force: true, maxRetries: 5, retryDelay: 40 });
  } catch {}
}

/** Does the promise settle within `ms`? */
export async function settles(promise: Promise<unknown>, ms: number): Promise<boolean> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<boolean>((resolve) => {
    timer = setTimeout(() => resolve(false), ms);
  });
  try {
    return await Promise.race([promise.then(() => true), late]);
  } finally {
    clearTimeout(timer);
  }
}

/** Root may not use the sandbox, and in containers its namespaces are commonly forbidden. */
function insideContainer(): boolean {
  return process.getuid?.() === 0 || existsSync('/.dockerenv') || existsSync('/run/.containerenv');
}

/** Removes the profile folders of processes that were killed. */
export function sweepProfiles(): void {
  for (const name of readdirSync(tmpdir())) {
    const pid = name.startsWith(PROFILE) ? Number.parseInt(name.slice(PROFILE.length), 10) : Number.NaN;
    if (!(pid > 0) || pid === process.pid) continue;
    try {
      process.kill(pid, 0);
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'ESRCH') continue;
      remove(join(tmpdir(), name));
    }
  }
}

/** The line of a browser's standard error that tells most. */
function tellingLine(text: string): string {
  const lines = text.split('\n').map((line) => line.trim());
  const telling = lines.find((line) => /error|fatal|fail|cannot|sandbox|missing/i.test(line)) ?? lines[0];
  return telling.slice(0, 300);
}
