import type { Browser, Page } from 'puppeteer';
import { settles } from './browser-process.ts';

/** ms in which a page that answers has left its take, or is closed */
const LEAVES_MS = 5000;

/**
 * The pages of a browser's takes. A new one takes two processes, since the browser starts another for a page that is isolated
 * as ours are; so a page whose take ended well stays on the blank page, where nothing of the take is left, until the next.
 */
export class TakePages {
  private readonly browser: Browser;
  private readonly blank: string;
  private spare: Page | undefined;

  /** @param blank address of the page server's blank page */
  constructor(browser: Browser, blank: string) {
    this.browser = browser;
    this.blank = blank;
  }

  async open(): Promise<Page> {
    const page = this.spare ?? (await this.browser.newPage());
    this.spare = undefined;
    page.removeAllListeners('error');
    return page;
  }

  /** @param well the take ended, so that the page may serve another; never throws */
  async leave(page: Page, well: boolean): Promise<void> {
    const fit = well && !this.spare && (await this.empty(page));
    // another take may have left its page meanwhile
    if (fit && !this.spare) this.keep(page);
    else await close(page);
  }

  /** for a page that stands on the blank one */
  keep(page: Page): void {
    this.spare = page;
    page.once('error', () => {
      if (this.spare === page) this.spare = undefined;
    });
  }

  /** for a browser that is given no takes */
  async clear(): Promise<void> {
    const { spare } = this;
    this.spare = undefined;
    if (spare) await close(spare);
  }

  private async empty(page: Page): Promise<boolean> {
    for (const event of ['error', 'pageerror'] as const) page.removeAllListeners(event);
    let emptied = false;
    const leaving = async () => {
      await page.goto(this.blank);
      await page.evaluate(collectAll);
      emptied = true;
    };
    await settles(
      leaving().catch(() => {}),
      LEAVES_MS,
    );
    return emptied;
  }
}

/** Ends its workers in the midst of whatever they do. */
async function close(page: Page): Promise<void> {
  await settles(
    page.close().catch(() => {}),
    LEAVES_MS,
  );
}

/** Page function: what the take held is let go of at once; V8's, when the browser was started with --expose-gc. */
const collectAll = () => (globalThis as { gc?: () => void }).gc?.();
