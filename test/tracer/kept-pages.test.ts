import { EventEmitter } from 'node:events';
import type { Browser, Page } from 'puppeteer';
import { expect, it } from 'vitest';
import { KeptPages } from '../../pipeline/tracer/kept-pages.ts';

const BLANK = 'http://127.0.0.1:1/token/';

/** Pages in name only: where they stand, and whether they are open. */
class NamedPage extends EventEmitter {
  at = 'about:blank';
  open = true;
  answers = true;

  async goto(url: string): Promise<void> {
    await this.evaluate();
    this.at = url;
  }

  async evaluate(): Promise<void> {
    if (!this.answers) throw new Error('the page is gone');
  }

  async close(): Promise<void> {
    this.open = false;
  }
}

function pagesOfBrowser() {
  const made: NamedPage[] = [];
  const newPage = async () => {
    const page = new NamedPage();
    made.push(page);
    return page;
  };
  const pages = new KeptPages({ newPage } as unknown as Browser, BLANK);
  const begin = async () => {
    const page = (await pages.open()) as unknown as NamedPage;
    for (const event of ['error', 'pageerror']) page.once(event, () => {});
    await page.goto(`${BLANK}take/1/`);
    return page;
  };
  const leave = (page: NamedPage, well: boolean) => pages.leave(page as unknown as Page, well);
  return { pages, made, begin, leave };
}

it('the page of a take that ended well serves the next, and leaves the take meanwhile', async () => {
  const { made, begin, leave } = pagesOfBrowser();
  for (let i = 0; i < 3; i++) {
    const page = await begin();
    await leave(page, true);
    expect(page).toMatchObject({ at: BLANK, open: true });
    expect(page.listenerCount('pageerror')).toBe(0);
  }
  expect(made).toHaveLength(1);
});

it('a page whose take failed or was stopped is closed', async () => {
  const { made, begin, leave } = pagesOfBrowser();
  const page = await begin();
  await leave(page, false);
  expect(page.open).toBe(false);
  expect(await begin()).toBe(made[1]);
});

it('of takes side by side one leaves its page, the others close theirs', async () => {
  const { begin, leave } = pagesOfBrowser();
  const together = await Promise.all([begin(), begin(), begin()]);
  await Promise.all(together.map((page) => leave(page, true)));
  const left = together.filter(({ open }) => open);
  expect(left).toHaveLength(1);
  expect(await begin()).toBe(left[0]);
});

it('a page that crashes while it waits, or does not leave its take, serves no other', async () => {
  const { made, begin, leave } = pagesOfBrowser();
  const first = await begin();
  await leave(first, true);
  first.emit('error', new Error('crashed'));
  const second = await begin();
  expect(second).toBe(made[1]);
  second.answers = false;
  await leave(second, true);
  expect(second.open).toBe(false);
  expect(await begin()).toBe(made[2]);
});

it('a page that is lost while it waits, of which nobody is told, serves no other', async () => {
  const { made, begin, leave } = pagesOfBrowser();
  const page = await begin();
  await leave(page, true);
  page.answers = false;
  expect(await begin()).toBe(made[1]);
  expect(page.open).toBe(false);
});

it('a browser that is given no takes keeps no page', async () => {
  const { pages, begin, leave } = pagesOfBrowser();
  const page = await begin();
  await leave(page, true);
  await pages.clear();
  expect(page.open).toBe(false);
});
