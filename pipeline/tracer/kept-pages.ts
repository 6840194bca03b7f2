import type { Browser, Page } from 'puppeteer';
import { settles } from './browser-process.ts';

/** ms in which a page that lives has left its work, or is closed */
const LEAVES_MS = 5000;
/** ms in which a page that waits answers, or is taken for lost: 10 on an idle machine */
const ANSWERS_MS = 2000;

/**
 * Pages of works that follow each other, takes or prints. A new one takes two processes, since the browser starts another for a
 * page that is isolated as ours are; so a page whose work ended well stands on an empty page, where nothing of the work is
 * left (a document's policy would hold for what is written into it later), until the next.
 */
export class KeptPages {
  private readonly browser: Pick<Browser, 'newPage'>;
  private readonly empty: string;
  private spare: Page | undefined;

  /** @param empty address of the page to wait on */
  constructor(browser: Pick<Browser, 'newPage'>, empty: string) {
    this.browser = browser;
    this.empty = empty;
  }

  /** The page that waits, or a new one: of one that died with the process that starts others nobody is told. */
  async open(): Promise<Page> {
    const { spare } = this;
    this.spare = undefined;
    if (!spare) return this.browser.newPage();
    spare.removeAllListeners('error');
    if (
      await inTime(
        spare.evaluate(() => true),
        ANSWERS_MS,
      )
    )
      return spare;
    spare.close().catch(() => {});
    return this.browser.newPage();
  }

  /** @param well the work ended, so that the page may serve another; never throws */
  async leave(page: Page, well: boolean): Promise<void> {
    const fit = well && !this.spare && (await this.emptied(page));
    // another work may have left its page meanwhile
    if (fit && !this.spare) this.keep(page);
    else await inTime(page.close(), LEAVES_MS);
  }

  /** for a page that stands on the empty one */
  keep(page: Page): void {
    this.spare = page;
    page.once('error', () => {
      if (this.spare === page) this.spare = undefined;
    });
  }

  /** for a browser that is given no such works */
  async clear(): Promise<void> {
    const { spare } = this;
    this.spare = undefined;
    if (spare) await inTime(spare.close(), LEAVES_MS);
  }

  private emptied(page: Page): Promise<boolean> {
    for (const event of ['error', 'pageerror'] as const) page.removeAllListeners(event);
    const leaving = page.goto(this.empty).then(() => page.evaluate(collectAll));
    return inTime(leaving, LEAVES_MS);
  }
}

/** Whether it comes to its end in time, and well. */
const inTime = (work: Promise<unknown>, ms: number) => settles(work, ms).catch(() => false);

/** Page function: what the work held is let go of at once; V8's, when the browser was started with --expose-gc. */
const collectAll = () => (globalThis as { gc?: () => void }).gc?.();
