import { cp, mkdtemp, readFile, rm, stat } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser, Page } from 'puppeteer';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { catalogueSchema } from '../../pipeline/facts/catalogue-schema.ts';
import { PAGE_SIZE } from '../../pipeline/page/reader/choice.ts';
import { publishCatalogue } from '../../pipeline/publish/catalogue.ts';
import { sampleBand, sampleItem, sampleMeta } from '../publish/sample-items.ts';
import { atPlace, choice, openAt, pageBrowser, press, type Screen, violations } from './page-browser.ts';
import { FRAME_MM, FRAMES, MARKUP, publishSmall } from './page-catalogue.ts';

let folder: string;
let browser: Browser;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'bandwright-page-'));
  await publishSmall(folder);
  browser = await pageBrowser();
});
afterAll(async () => {
  await browser?.close();
  await rm(folder, { recursive: true, force: true });
});

const at = <T>(hash: string, see: (page: Page) => Promise<T>, screen?: Screen) =>
  atPlace(browser, folder, hash, see, screen);

const LOOK = '#item=T-50-yellow-18';
const COMPARE = '#compare=T-50-yellow-18%2CT-60-platinum-950';
const skus = (page: Page) =>
  page.$$eval('.cards li', (cards) => cards.map((c) => (c as HTMLElement).dataset.sku));
const textOf = (page: Page, selector: string) => page.$eval(selector, (e) => e.textContent ?? '');
const pick = (page: Page, sku: string, axis: string, value: string) =>
  press(page, `[data-sku="${sku}"] [data-axis="${axis}"][data-value="${value}"]`);

describe('the grid', () => {
  it('has a card for each design, on which metal and size are chosen in place', () =>
    at('', async (page) => {
      expect(await skus(page)).toEqual(['T-50-yellow-18', 'T-pair']);
      const card = () =>
        page.$eval('.cards li', (li) => [
          li.querySelector('.name')?.textContent,
          li.querySelector('.line')?.textContent,
          li.querySelector('img')?.getAttribute('alt'),
          li.querySelector('a')?.getAttribute('href'),
        ]);
      expect((await card())[1]).toContain('ISO 50');
      await pick(page, 'T-50-yellow-18', 'metal', 'platinum-950');
      await pick(page, 'T-50-platinum-950', 'size', 'ISO 60');
      expect(await card()).toEqual([
        'Band of platinum-950',
        expect.stringContaining('ISO 60'),
        'A band of platinum-950, three-quarter view',
        'products/T-60-platinum-950.html',
      ]);
      // by keyboard one stays on what one chose
      await page.focus('[data-axis="metal"][data-value="yellow-18"]');
      await page.keyboard.press('Enter');
      const focused = () => page.evaluate(() => (document.activeElement as HTMLElement).dataset.value);
      expect(await focused()).toBe('yellow-18');
      expect((await skus(page))[0]).toBe('T-60-yellow-18');
    }));

  it('shows every metal and stone by itself when asked to', () =>
    at('', async (page) => {
      await press(page, '[data-view="looks"]');
      expect(await skus(page)).toEqual(['T-50-yellow-18', 'T-50-rose-18', 'T-50-platinum-950', 'T-pair']);
      expect(new URL(page.url()).hash).toBe('#view=looks');
      expect(await violations(page)).toEqual([]);
    }));

  it('narrows by ticks with counts that follow, by words, and keeps its place in the address', () =>
    at('#view=looks', async (page) => {
      expect(await skus(page)).toHaveLength(4);
      const count = (value: string) =>
        page.$eval(`input[value="${value}"]`, (i) => i.parentElement?.querySelector('small')?.textContent);
      expect(await count('ISO 50')).toBe('4'); // three bands and the pair
      await press(page, 'input[value="rose-18"]');
      expect(await skus(page)).toEqual(['T-50-rose-18']);
      expect(await count('ISO 50')).toBe('1');
      expect(await count('yellow-18')).toBe('3'); // within the box: what ticking it alone would show
      await press(page, 'input[value="ISO 60"]');
      await page.type('.find input', 'RÓSE');
      expect(await skus(page)).toEqual(['T-60-rose-18']);
      expect(await textOf(page, '.found')).toBe('1 of 7');
      await page.reload();
      await page.waitForSelector('html[data-ready]');
      expect(await skus(page)).toEqual(['T-60-rose-18']);
      expect(await page.$eval('input[value="rose-18"]', (i) => (i as HTMLInputElement).checked)).toBe(true);
      await press(page, '.clear');
      expect(await skus(page)).toHaveLength(4);
      expect(new URL(page.url()).hash).toBe('#view=looks');
    }));

  it('orders by measure', () =>
    at('#view=looks', async (page) => {
      const orders = await page.$$eval('.order option', (all) =>
        all.map((o) => (o as HTMLOptionElement).value),
      );
      // all are equally wide, so width is no order here
      expect(orders).toEqual(['', 'size', 'size-down', 'mass', 'mass-down', 'carats', 'carats-down']);
      await page.select('.order select', 'mass-down');
      expect((await skus(page)).slice(0, 2)).toEqual(['T-pair', 'T-60-yellow-18']);
    }));

  it('keeps favourites in the browser, and shows them alone', () =>
    at('#view=looks', async (page) => {
      await press(page, '[data-sku="T-50-rose-18"] .like');
      await page.reload();
      await page.waitForSelector('[data-sku="T-50-rose-18"] .like[aria-pressed="true"]');
      await press(page, '.liked');
      expect(await skus(page)).toEqual(['T-50-rose-18']);
      await press(page, '[data-sku="T-50-rose-18"] .like');
      expect(await textOf(page, '.found')).toContain('No favourites yet');
      expect(await page.evaluate(() => localStorage.length)).toBe(0);
    }));

  it('says what a dead link led to', () =>
    at('#item=T-gone', async (page) => {
      expect(await textOf(page, '.lost')).toContain('T-gone is not in this catalogue any more');
      await page.evaluate(() => {
        location.hash = '#OLD-SKU';
      });
      await page.waitForFunction(() => document.querySelector('.lost')?.textContent?.startsWith('OLD-SKU'));
      await press(page, '[data-view="looks"]');
      expect(await page.$eval('.lost', (e) => (e as HTMLElement).hidden)).toBe(true);
    }));

  it('shows markup in titles as text', () =>
    at('', async (page) => {
      expect(await textOf(page, 'h1')).toBe(`Bands ${MARKUP}`);
      await pick(page, 'T-50-yellow-18', 'metal', 'rose-18');
      expect(await textOf(page, '[data-sku="T-50-rose-18"] .name')).toBe(MARKUP);
      await page.evaluate(() => {
        location.hash = '#item=T-50-rose-18';
      });
      await page.waitForSelector('dialog[open] h2');
      expect(await textOf(page, 'dialog h2')).toBe(MARKUP);
      expect(await page.$$('b, img[src="x"]')).toEqual([]);
      expect(await page.title()).toContain('<img');
    }));
});

describe('a grid of more than one page', () => {
  it('goes on page by page, and the address knows which', async () => {
    const many = await mkdtemp(join(tmpdir(), 'bandwright-page-many-'));
    try {
      const items = Array.from({ length: PAGE_SIZE + 2 }, (_, i) =>
        // each of a design of its own
        sampleItem(`M-${i + 1}`, 'no picture', {
          shots: [],
          bands: [sampleBand(`M-${i + 1}`, { axes: { design: `No ${i + 1}` } })],
        }),
      );
      await publishCatalogue(
        many,
        items,
        sampleMeta(
          items.map((i) => i.sku),
          { models: [] },
        ),
      );
      const there = `${pathToFileURL(many).href}/`;
      const { page, complaints } = await openAt(browser, `${there}index.html`, there, { width: 800 });
      await page.waitForSelector('html[data-ready]');
      expect(await skus(page)).toHaveLength(PAGE_SIZE);
      await page.focus('.pages button:last-child');
      await page.keyboard.press('Enter');
      expect(await skus(page)).toEqual([`M-${PAGE_SIZE + 1}`, `M-${PAGE_SIZE + 2}`]);
      expect(await textOf(page, '.pages')).toContain('Page 2 of 2');
      expect(new URL(page.url()).hash).toBe('#page=2');
      // an item of the second file of details
      await press(page, `[data-sku="M-${PAGE_SIZE + 2}"] a`);
      await page.waitForSelector('dialog[open] table');
      await page.keyboard.press('Escape');
      await page.waitForFunction(() => location.hash === '#page=2');
      await page.goBack();
      await page.waitForFunction((n) => document.querySelectorAll('.cards li').length === n, {}, PAGE_SIZE);
      expect(complaints).toEqual([]);
      await page.close();
    } finally {
      await rm(many, { recursive: true, force: true });
    }
  });
});

describe('the large view', () => {
  it('is reached and left by keyboard, and focus comes back', () =>
    at('#view=looks', async (page) => {
      await page.focus('[data-sku="T-50-yellow-18"] a');
      await page.keyboard.press('Enter');
      await page.waitForSelector('dialog[open] h2');
      expect(await page.evaluate(() => document.activeElement?.closest('dialog') !== null)).toBe(true);
      await page.keyboard.press('ArrowRight');
      await page.waitForFunction(() => location.hash.includes('rose-18'));
      await page.keyboard.press('Escape');
      await page.waitForFunction(
        () => !document.querySelector('dialog[open]') && location.hash === '#view=looks',
      );
      expect(
        await page.evaluate(() => (document.activeElement?.closest('li') as HTMLElement)?.dataset.sku),
      ).toBe('T-50-rose-18');
      await page.goForward();
      await page.waitForSelector('dialog[open] h2');
    }));

  it('links every file of the item, each on disk, with alternative texts of the catalogue', async () => {
    const catalogue = catalogueSchema.parse(
      JSON.parse(await readFile(join(folder, 'catalogue.json'), 'utf8')),
    );
    const item = catalogue.items[0];
    const files = [
      ...item.shots
        .filter((s) => !s.turn || s.turn.frame === 1)
        .flatMap((s) => s.pictures.filter((p) => p.role !== 'thumbnail').map((p) => p.file)),
      ...(item.documents ?? []).map((d) => d.file),
      item.bands[0].model!.file,
      ...item.bands[0].ownModels!.map((m) => m.file),
      ...item.bands[0].caster!.parts.flatMap((p) => p.files.map((f) => f.file)),
      'swatches/sheet.png',
      `swatches/${item.sku}.png`,
    ];
    await at(LOOK, async (page) => {
      const links = await page.$$eval('.files a', (all) => all.map((a) => a.getAttribute('href') ?? ''));
      expect([...links].sort()).toEqual([...files].sort());
      for (const file of links)
        expect((await stat(join(folder, decodeURIComponent(file)))).isFile()).toBe(true);
      expect(await page.$eval('.stage img', (i) => (i as HTMLImageElement).alt)).toBe(item.shots[0].alt);
      // a hallmark that is due is a note: it is neither passed nor failed
      expect(await textOf(page, 'dialog .facts')).toContain('1 of 2 passed');
      expect(await page.$$('.checks li.failed')).toHaveLength(1);
      // sources are for the bench sheet
      expect(await textOf(page, 'dialog .facts')).not.toContain('common practice');
      expect(await textOf(page, 'dialog .facts')).toContain('shrinkage 1.5');
    });
  });

  it('shows the frames of a picture by name, and never the files of a named output', () =>
    at(LOOK, async (page) => {
      const stage = () =>
        page.$eval('.stage .tile img', (image) => [
          image.getAttribute('srcset')?.replace(/\?v=[0-9a-f]{8}/g, ''),
          image.getAttribute('width'),
        ]);
      const folder = 'T-50-yellow-18/T-50-yellow-18-three-quarter';
      const names = await page.$$eval('.frames button', (all) => all.map((b) => b.textContent));
      expect(names).toEqual(['Whole picture', 'detail']);
      await press(page, '.frames button:last-child');
      expect(await stage()).toEqual([`${folder}_detail-80.webp 80w, ${folder}_detail-160.webp 160w`, '160']);
      expect(await page.$eval('.frames [aria-pressed="true"]', (b) => b.textContent)).toBe('detail');
      expect(await violations(page)).toEqual([]);
      await press(page, '.frames button:first-child');
      expect((await stage())[1]).toBe('240');
    }));

  it('changes picture, facts and price in place with another choice, and keeps the shot', () =>
    at(LOOK, async (page) => {
      await (await choice(page, 'Turntable')).click();
      await page.focus('dialog [data-value="ISO 60"]');
      await page.keyboard.press('Enter');
      await page.waitForFunction(() => location.hash === '#item=T-60-yellow-18');
      expect(await textOf(page, 'dialog .facts table')).toContain('60\u00a0mm');
      expect(await page.$eval('.turn img', (i) => (i as HTMLImageElement).src)).toContain('T-60-yellow-18');
      expect(await page.evaluate(() => (document.activeElement as HTMLElement).dataset.value)).toBe('ISO 60');
      await page.keyboard.press('Escape');
      await page.waitForFunction(() => !document.querySelector('dialog[open]'));
      // the card shows what was chosen
      expect((await skus(page))[0]).toBe('T-60-yellow-18');
    }));

  it('enlarges the picture where it stands; Escape leaves the picture and not the view', () =>
    at(LOOK, async (page) => {
      const width = () => page.$eval('.view img', (i) => i.getBoundingClientRect().width);
      const before = await width();
      await page.focus('.zoom .sign');
      await page.keyboard.press('Enter');
      expect((await width()) / before).toBeCloseTo(2.5, 1);
      expect(await violations(page)).toEqual([]);
      const left = () => page.$eval('.view', (v) => v.scrollLeft);
      const middle = await left();
      await page.keyboard.press('ArrowRight');
      await page.waitForFunction((x) => document.querySelector('.view')!.scrollLeft > x, {}, middle);
      expect(new URL(page.url()).hash).toBe(LOOK); // the arrow moved the picture, not the view
      await page.keyboard.press('Escape');
      expect(await width()).toBeCloseTo(before, 0);
      expect(await page.$('dialog[open]')).not.toBeNull();
    }));

  it('gives a link to the very choice', () =>
    at(LOOK, async (page) => {
      // as where a browser gives no clipboard
      await page.evaluate(() => {
        Object.defineProperty(navigator, 'clipboard', { value: undefined });
        for (const b of document.querySelectorAll<HTMLElement>('.acts .plain')) {
          if (b.textContent === 'Copy link') b.click();
        }
      });
      await page.waitForSelector('.said input');
      expect(await page.$eval('.said input', (i) => (i as HTMLInputElement).value)).toBe(page.url());
    }));

  it('turns the turntable by dragging, slider and arrow keys', () =>
    at(LOOK, async (page) => {
      await (await choice(page, 'Turntable')).click();
      const shown = () => page.$eval('.turn img', (i) => /spin-0(\d)/.exec((i as HTMLImageElement).src)?.[1]);
      expect(await shown()).toBe('1');
      const slider = (await page.$('input[type=range]'))!;
      await slider.focus();
      await page.keyboard.press('ArrowRight');
      expect(await shown()).toBe('2');
      await page.keyboard.press('ArrowLeft');
      await page.keyboard.press('ArrowLeft');
      expect(await shown()).toBe(String(FRAMES)); // on past the first frame
      const box = (await (await page.$('.turn'))!.boundingBox())!;
      await page.mouse.move(box.x + 10, box.y + 40);
      await page.mouse.down();
      await page.mouse.move(box.x + 10 + (3 * box.width) / FRAMES, box.y + 40);
      await page.mouse.up();
      expect(await shown()).toBe('3');
      expect(await slider.evaluate((s) => s.getAttribute('aria-valuetext'))).toBe('90 degrees');
      expect(new URL(page.url()).hash).toContain('T-50-yellow-18'); // arrows did not leave
    }));

  it('scrubs the turntable: a drag follows the hand beyond the picture, once across is once round', () =>
    at(LOOK, async (page) => {
      await (await choice(page, 'Turntable')).click();
      const frame = () =>
        page.$eval('.turn img', (i) => Number(/spin-0(\d)/.exec((i as HTMLImageElement).src)?.[1]));
      const box = (await (await page.$('.turn'))!.boundingBox())!;
      const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
      const step = box.width / FRAMES;
      await page.mouse.move(x, y);
      await page.mouse.down();
      const seen = [];
      for (let i = 1; i <= 2 * FRAMES; i++) {
        await page.mouse.move(x - i * step, y + 200);
        seen.push(await frame());
      }
      // backwards, twice round, the second time with the hand far outside
      const back = Array.from({ length: 2 * FRAMES }, (_, i) => ((2 * FRAMES - 1 - i) % FRAMES) + 1);
      expect(seen).toEqual(back);
      await page.mouse.up();
      await page.mouse.move(x, y);
      expect(await frame()).toBe(seen.at(-1));
      // the band follows the main button only
      await page.mouse.down({ button: 'right' });
      await page.mouse.move(x + 3 * step, y);
      await page.mouse.up({ button: 'right' });
      expect(await frame()).toBe(seen.at(-1));
      const slider = (await page.$('input[type=range]'))!;
      await slider.focus();
      await page.keyboard.press('End');
      expect(await frame()).toBe(FRAMES);
      expect(await slider.evaluate((s) => s.getAttribute('aria-valuetext'))).toBe(
        `${Math.round((360 * (FRAMES - 1)) / FRAMES)} degrees`,
      );
      expect(await page.$eval('.turn img', (i) => (i as HTMLImageElement).alt)).toContain(`frame ${FRAMES}`);
    }));

  it('says what is wrong when a file of the folder is missing', async () => {
    const other = await mkdtemp(join(tmpdir(), 'bandwright-page-torn-'));
    try {
      await cp(folder, other, { recursive: true });
      await rm(join(other, 'page/items-01.js'));
      const torn = `${pathToFileURL(other).href}/`;
      const reader = await openAt(browser, `${torn}index.html${LOOK}`, torn, { width: 1280 });
      await reader.page.waitForSelector('dialog[open] [role=alert]');
      expect(await textOf(reader.page, 'dialog [role=alert]')).toContain('page/items-01.js is missing');
      await reader.page.close();
    } finally {
      await rm(other, { recursive: true, force: true });
    }
  });
});

describe('the comparison', () => {
  it('shows both pictures at one scale', () =>
    at(COMPARE, async (page) => {
      const widths = await page.$$eval('.pair-view img', (all) =>
        all.map((i) => i.getBoundingClientRect().width),
      );
      const perMm = [widths[0] / FRAME_MM[50], widths[1] / FRAME_MM[60]];
      expect(perMm[0] / perMm[1]).toBeCloseTo(1, 2);
      // outlines: outer diameters in the ratio of the bands'
      const rings = await page.$$eval('.outlines svg', (all) =>
        all.map((s) => s.querySelector('circle')!.getBoundingClientRect().width),
      );
      const outer = (size: number) => size / Math.PI + 2 * 1.95;
      expect(rings[0] / rings[1]).toBeCloseTo(outer(50) / outer(60), 1);
      expect(await page.$$('.both .differs')).not.toHaveLength(0);
      // bands of one alloy have a total as those of several have
      const metal = await page.$$eval('.both tr', (rows) =>
        rows
          .map((r) => [...r.children].map((c) => c.textContent))
          .find(([name]) => name?.startsWith('All metal')),
      );
      expect(metal?.slice(1)).toEqual(['approx. 2.50\u00a0g', 'approx. 3.00\u00a0g']);
    }));

  it('is laid out from the grid, two at most', () =>
    at('', async (page) => {
      await pick(page, 'T-50-yellow-18', 'metal', 'rose-18');
      await press(page, '[data-sku="T-50-rose-18"] .lay');
      await pick(page, 'T-50-rose-18', 'size', 'ISO 60');
      await press(page, '[data-sku="T-60-rose-18"] .lay');
      expect(await page.$eval('[data-sku="T-pair"] .lay', (b) => (b as HTMLButtonElement).disabled)).toBe(
        true,
      );
      await press(page, '.tray .main');
      await page.waitForSelector('dialog.beside[open] table');
      expect(new URL(page.url()).hash).toContain('compare=T-50-rose-18');
      await page.keyboard.press('Escape');
      await page.waitForFunction(() => location.hash.startsWith('#beside='));
    }));
});

describe('a band in the reader’s room', () => {
  const room = (page: Page) =>
    page.$$eval('.room a', (links) =>
      links.map((a) => ({
        rel: a.rel,
        file: a.getAttribute('href'),
        type: a.type,
        children: [...a.children].map((c) => `${c.tagName} ${c.getAttribute('alt')}`),
      })),
    );

  // the convention of browsers that show USDZ: rel="ar" and one picture inside
  it('is a link of its own where the browser offers it', () =>
    at('', async (page) => {
      await page.evaluate(() => {
        const known = DOMTokenList.prototype.supports;
        DOMTokenList.prototype.supports = function (token) {
          return token === 'ar' || known.call(this, token);
        };
      });
      await page.evaluate((hash) => location.assign(hash), LOOK);
      await page.waitForSelector('.room a');
      expect(await room(page)).toEqual([
        {
          rel: 'ar',
          file: 'models/each/T-50-yellow-18.usdz',
          type: 'model/vnd.usdz+zip',
          children: ['IMG See it in your room, in true size'],
        },
      ]);
      expect(await violations(page)).toEqual([]);
    }));

  it('is a file to download where it does not', () =>
    at(LOOK, async (page) => {
      expect(await room(page)).toEqual([]);
      const files = await page.$$eval('.files a', (links) => links.map((a) => a.getAttribute('href')));
      expect(files).toContain('models/each/T-50-yellow-18.usdz');
    }));
});

describe('everywhere', () => {
  const VIEWS = { grid: '#beside=T-50-yellow-18', 'large view': LOOK, comparison: COMPARE };
  // 640 by 400: 1280 by 800 at 200 % (WCAG 1.4.4)
  // both themes at the widest and the narrowest: what lies between is laid out otherwise and has the same colours
  const WIDE = [{ width: 1440, height: 900, themes: ['light', 'dark'] }];
  const NARROW = [
    { width: 390, height: 900, themes: ['light', 'dark'] },
    { width: 640, height: 400, themes: ['dark'] },
    { width: 768, height: 900, themes: ['light'] },
  ];
  const cases = Object.keys(VIEWS).flatMap((name) =>
    [WIDE, NARROW].map(
      (screens) => [name as keyof typeof VIEWS, screens.map((s) => s.width), screens] as const,
    ),
  );

  // of its screen a page is told by style alone, but for being wide or narrow, and for that it is opened anew
  it.each(cases)(
    'WCAG 2.2 AA by axe-core in the %s at %s px, and nothing wider than the screen',
    (name, _, screens) =>
      at(
        VIEWS[name],
        async (page) => {
          if (screens === NARROW && name === 'grid') await press(page, '.filters summary');
          // cards that no one has come to yet take the other theme when someone does
          await page.$$eval('.cards li', (cards) => {
            for (const c of cards) (c as HTMLElement).style.setProperty('content-visibility', 'visible');
          });
          for (const { themes, ...screen } of screens) {
            await page.setViewport(screen);
            for (const theme of themes)
              await expectLegible(page, theme, `${name} at ${screen.width}, ${theme}`);
          }
        },
        screens[0],
      ),
  );

  async function expectLegible(page: Page, theme: string, where: string): Promise<void> {
    await page.emulateMediaFeatures([{ name: 'prefers-color-scheme', value: theme }]);
    // colours take a moment to change
    await page.evaluate(async () => {
      await Promise.allSettled(document.getAnimations().map((a) => a.finished));
    });
    expect(await violations(page), where).toEqual([]);
    const wider = await page.evaluate(() => {
      const scrolled = [document.documentElement, ...document.querySelectorAll('dialog[open]')];
      return scrolled.map((e) => e.scrollWidth - e.clientWidth);
    });
    expect(Math.max(...wider), where).toBeLessThanOrEqual(0);
  }

  it('keeps still for readers who want no motion', () =>
    at('', (page) => page.$eval('html', (e) => getComputedStyle(e).scrollBehavior), {
      width: 800,
      stillness: true,
    }).then((behaviour) => expect(behaviour).toBe('auto')));
});
