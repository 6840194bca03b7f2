/** puppeteer's start of a browser, which here ends in time whatever becomes of the browser meanwhile. */
import type { Browser } from 'puppeteer';
import { settles } from './browser-process.ts';
import type { FoundBrowser } from './browser-search.mjs';

/** starts, and shows no page in time */
export class SilentBrowser extends Error {}

/** ms in which a browser that was killed is seen to be gone */
const DYING_MS = 2000;

/**
 * @param profile its folder
 * @throws SilentBrowser if it does not answer within `ms`, and then it is killed
 */
export async function launchInTime(
  { path, env }: Pick<FoundBrowser, 'path' | 'env'>,
  profile: string,
  args: string[],
  ms: number,
): Promise<Browser> {
  const { launch } = await import('puppeteer');
  // puppeteer would wait a minute for each answer
  const late = new AbortController();
  const timer = setTimeout(() => late.abort(), ms);
  const launching = launch({
    executablePath: path,
    env: { ...process.env, ...env },
    headless: 'shell',
    pipe: true,
    userDataDir: profile,
    args,
    timeout: ms,
    signal: late.signal,
    // every process costs a start, and nobody would look at this page; ours is opened when the browser has started
    ignoreDefaultArgs: ['about:blank'],
    waitForInitialPage: false,
    protocolTimeout: 60_000,
    // Interrupts are the run's business; it closes the tracer in its own time.
    handleSIGINT: false,
    handleSIGTERM: false,
    handleSIGHUP: false,
  });
  try {
    // A browser that opens a tab all the same, and ends or is killed for being late between telling of the tab and of
    // the page in it, leaves puppeteer waiting for that page, which nothing ever ends.
    if (await settles(launching, ms + DYING_MS)) return await launching;
  } catch (error) {
    if (!late.signal.aborted) throw error;
  } finally {
    clearTimeout(timer);
  }
  throw new SilentBrowser(`it did not answer within ${ms / 1000} s`);
}
