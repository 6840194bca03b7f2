import type { Page } from 'puppeteer';
import type { OpenBrowser } from './browser.ts';
import { settles } from './browser-process.ts';
import type { KeptPages } from './kept-pages.ts';
import type { PageOpens } from './page-opens.ts';
import { TracerLost } from './tracer-lost.ts';

/**
 * Work of seconds in a page of its own. Left to puppeteer, a page whose process is gone would be waited for for a minute.
 * @param kept for work of which more follows; else its page is opened and closed
 * @throws TracerLost once page or browser are gone, and the browser with them: the next one asked for is another
 */
export async function inOwnPage<T>(
  { browser, kill }: Pick<OpenBrowser, 'browser' | 'kill'>,
  opens: PageOpens,
  work: (page: Page) => Promise<T>,
  kept?: KeptPages,
): Promise<T> {
  let page: Page | undefined;
  let lose!: (loss: TracerLost) => void;
  const lost = new Promise<never>((_, reject) => {
    lose = reject;
  });
  let onGone!: () => void;
  const gone = new Promise<void>((resolve) => {
    onGone = resolve;
  });
  browser.once('disconnected', onGone);
  gone.then(() => lose(new TracerLost('browser-gone', 'the browser ended during its work')));
  const crashed = (error: Error) => lose(new TracerLost('page-crashed', error.message));
  const open = async () => {
    page = await (kept ? kept.open() : browser.newPage());
    page.on('error', crashed);
  };
  let sound = false;
  const done = async () => {
    await opens.inTime(open()).catch(({ message }) => lose(new TracerLost('page-silent', message)));
    return page ? work(page) : lost;
  };
  try {
    const made = await Promise.race([lost, done()]);
    sound = true;
    return made;
  } catch (error) {
    const loss = lossIn(error as Error, browser.connected);
    if (loss instanceof TracerLost) {
      kill();
      await settles(gone, 2000);
    }
    throw loss;
  } finally {
    browser.off('disconnected', onGone);
    page?.off('error', crashed);
    if (page && kept) await kept.leave(page, sound);
    else await settles(page?.close().catch(() => {}) ?? Promise.resolve(), 2000);
  }
}

/** What of an error says that page or browser are gone: puppeteer gives a page up that hasn't answered for 30 to 60 s. */
function lossIn(error: Error, connected: boolean): Error {
  if (error instanceof TracerLost) return error;
  if (!connected) return new TracerLost('browser-gone', error.message);
  const { name, message } = error;
  const silent = name === 'TimeoutError' || (name === 'ProtocolError' && message.includes('timed out'));
  return silent ? new TracerLost('page-silent', message) : error;
}
