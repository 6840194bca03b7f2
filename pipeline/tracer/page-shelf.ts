import type { Browser, Page } from 'puppeteer';
import { settles } from './browser-process.ts';

/** ms in which an empty page answers, or is taken for lost: 10 on an idle machine */
const ANSWERS = 2000;

/** Pages of a browser that are open already: to open one takes three times as long as to print what it shows. */
export class PageShelf {
  private readonly browser: Pick<Browser, 'newPage'>;
  private readonly empty: string;
  private readonly pages = new Set<Page>();

  /** @param empty address of the empty page that they stand on while they wait */
  constructor(browser: Pick<Browser, 'newPage'>, empty: string) {
    this.browser = browser;
    this.empty = empty;
  }

  /** A page that is open, or else a new one. Of one that died with the process that starts others nobody is told. */
  async take(): Promise<Page> {
    for (const page of this.pages) {
      this.pages.delete(page);
      if (await done(page.evaluate(() => true))) return page;
      page.close().catch(() => {});
    }
    return this.watched(await this.browser.newPage());
  }

  /** Takes a page back and empties it: a document's policy would hold for what is written into it later. Never throws. */
  async putBack(page: Page): Promise<void> {
    if (await done(page.goto(this.empty))) this.pages.add(page);
    else await done(page.close());
  }

  /** One whose process ends while it waits is not given to anybody. */
  private watched(page: Page): Page {
    page.once('error', () => this.pages.delete(page));
    return page;
  }
}

/** Does it come to its end in time? */
async function done(work: Promise<unknown>): Promise<boolean> {
  const ended = work.then(
    () => true,
    () => false,
  );
  return (await settles(ended, ANSWERS)) && ended;
}
