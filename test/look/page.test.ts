/** The live view's page in a browser: what it finally shows is the film of `make`, and what it says can be reached by all. */
import { readFile } from 'node:fs/promises';
import type { Browser, Page } from 'puppeteer';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { takeLooks } from '../../pipeline/artefacts/film.ts';
import { takeScene } from '../../pipeline/artefacts/film-scene.ts';
import type { BuiltShape } from '../../pipeline/band/built-shape.ts';
import { lookFiles } from '../../pipeline/look/page-files.ts';
import { type LookServer, openLookServer } from '../../pipeline/look/server.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { ShapeKey } from '../../pipeline/plan/plan.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { applyFits, chooseFits } from '../../pipeline/tracer/film-filter.ts';
import { GUIDE_PLANES, guideOf } from '../../pipeline/tracer/film-guide.ts';
import { filterCrew } from '../../pipeline/tracer/filter-threads.ts';
import { createNodeTracer } from '../../pipeline/tracer/node-tracer.ts';
import type { Film } from '../../pipeline/tracer/tracer.ts';
import { pageBrowser, violations } from '../page/page-browser.ts';
import { kernel } from '../tracer/kernel-fixture.ts';
import { type Looked, lookAt, PLAIN } from './look-config.ts';

const WAIT = 180_000;
/** The page scrolls at once: a mouse would miss what a smooth scroll still carries away. */
const STILL = [{ name: 'prefers-reduced-motion', value: 'reduce' }];
let looked: Looked;
let server: LookServer;
let browser: Browser;
let page: Page;
const complaints: string[] = [];

beforeAll(async () => {
  looked = await lookAt(PLAIN, false, (flags) => ['make', ...flags].join(' '));
  const { session } = looked;
  server = await openLookServer({
    session,
    files: await lookFiles(),
    hands: { edit: (request) => session.edit(request) },
    port: 0,
  });
  browser = await pageBrowser();
  page = await browser.newPage();
  page.on('console', (m) => {
    // what Chromium itself notes where a page asks for a graphics card that is not there
    if (!/^(WebGPU is experimental|Failed to create WebGPU)/.test(m.text())) complaints.push(m.text());
  });
  page.on('pageerror', (e) => complaints.push(String(e)));
  await page.setViewport({ width: 1280, height: 900 });
  await page.emulateMediaFeatures(STILL);
  await page.evaluateOnNewDocument(() => {
    const seen: unknown[] = [];
    Object.assign(globalThis, { seen });
    document.addEventListener('picture', (event) => seen.push((event as CustomEvent).detail));
  });
  await page.goto(server.url);
}, WAIT);

afterAll(async () => {
  await browser?.close();
  await server?.close();
  await looked?.close();
});

interface Seen {
  stage: string;
  version: number;
  draft: boolean;
  passes: number;
}

/** Waits for a picture of this version at this stage, of the true solids. */
async function picture(version: number, stage: string): Promise<Seen> {
  const found = await page.waitForFunction(
    (v, s) =>
      (globalThis as unknown as { seen: Seen[] }).seen.find(
        (p) => p.version === v && p.stage === s && !p.draft,
      ),
    { timeout: WAIT, polling: 50 },
    version,
    stage,
  );
  return (await found.jsonValue()) as Seen;
}

/** The bits of the film that is shown, and what its picture shows of it. */
function shown(): Promise<{ bits: number[]; clean: number[]; width: number }> {
  return page.evaluate(() => {
    const { picture } = document.querySelector('figure') as unknown as {
      picture: { film(): { width: number; data: Float32Array; clean?: Float32Array } };
    };
    const { width, data, clean = [] } = picture.film();
    return { width, bits: Array.from(new Uint32Array(data.slice().buffer)), clean: Array.from(clean) };
  });
}

/** Shapes as `make` builds them, each once. */
const built = new Map<ShapeKey, BuiltShape>();

async function shapeOfMake(key: ShapeKey, design: ShapeDesign): Promise<BuiltShape> {
  const shape = built.get(key) ?? (await buildShape(design));
  built.set(key, shape);
  return shape;
}

/** Bits of the film that `make` traces, and of the filtered one that its pictures show. */
async function filmOfMake(): Promise<{ bits: number[]; clean: number[] }> {
  const { plan } = await readPlan(looked.file);
  const [take] = plan.takes;
  const [key] = take.shapes;
  const scene = takeScene(take.shot, takeLooks(take), [await shapeOfMake(key, plan.shapes[key])]);
  const { seed, passCap, noise, filter } = plan.quality;
  const tracer = createNodeTracer([await kernel()]);
  const planes: Film[] = [];
  const onFilm = async (film: Film, plane: number) => {
    planes[plane] = film;
  };
  const options = { seed, passCap, noiseTarget: noise, filtered: filter, guide: true, onFilm };
  await tracer.trace(scene, options);
  const films = planes.slice(0, take.colourways.length).map(({ data }) => data);
  const mean = films[0].map((_, i) => films.reduce((sum, film) => sum + film[i], 0) / films.length);
  const guide = guideOf(planes.slice(-GUIDE_PLANES), mean);
  const { hands } = await filterCrew(mean.length / 3, 1);
  const [clean] = await applyFits(guide, hands, await chooseFits(guide, hands), [films[0]]);
  return { bits: Array.from(new Uint32Array(films[0].slice().buffer)), clean: Array.from(clean) };
}

/** The film bit for bit; the filter judges means of colourways, whose sums are rounded in another order. */
async function expectAsMade(): Promise<void> {
  const [seen, made] = [await shown(), await filmOfMake()];
  expect(seen.bits).toEqual(made.bits);
  expect(seen.clean).toHaveLength(made.clean.length);
  const off = seen.clean.map((v, i) => Math.abs(v - made.clean[i]));
  expect(Math.max(...off)).toBeLessThan(1e-3);
}

/** Of the page as it is, in both themes. */
async function expectNoViolations(): Promise<void> {
  for (const value of ['light', 'dark']) {
    await page.emulateMediaFeatures([...STILL, { name: 'prefers-color-scheme', value }]);
    expect(await violations(page), value).toEqual([]);
  }
  await page.emulateMediaFeatures(STILL);
}

describe('the page of the live view', () => {
  it(
    'finishes in the film of make, bit for bit, and shows what make takes grain off',
    async () => {
      await picture(1, 'done');
      const { bits, clean, width } = await shown();
      expect(width).toBe(48);
      expect(clean).not.toEqual(Array.from(new Float32Array(Uint32Array.from(bits).buffer)));
      await expectAsMade();
    },
    WAIT,
  );

  it(
    'shows a saved edit anew, and its mistake over the last good band',
    async () => {
      await looked.save(PLAIN.replace('[yellow-18, white-18]', '[rose-18, white-18]'));
      await picture(2, 'done');
      const rose = await shown();
      await expectAsMade();
      await looked.save(PLAIN.replace('metal:', 'mettal:'));
      await page.waitForSelector('.mistakes .place', { timeout: WAIT });
      const told = await page.$eval('.mistakes', (e) => e.textContent);
      expect(told).toContain('config.yaml, line 6');
      expect(await shown()).toEqual(rose);
      expect(await violations(page)).toEqual([]);
      await looked.save(PLAIN);
      await page.waitForFunction(() => document.querySelector('.mistakes')?.childElementCount === 0);
    },
    WAIT,
  );

  it(
    'finishes in the film of make after a draft, whose light on the ground was that of the band before',
    async () => {
      const set = PLAIN.replace('plain-court', 'tideline')
        .replace('chord-tolerance: 0.05 mm', 'chord-tolerance: 0.1 mm, rows: { crest: { coverage: 60 deg } }')
        .replace('grid:', 'origins: { diamond: natural }\ngrid:')
        .replace('[4 mm, 5 mm], metal: [yellow-18, white-18]', '[5 mm], metal: [yellow-18]');
      const edited = looked.session.state.version + 1;
      await looked.save(set);
      await picture(edited, 'done');
      await expectAsMade();
      expect(await page.$$('.marks .check')).toHaveLength((await page.$$('.unrolled .check')).length);
      const version = looked.session.state.version + 1;
      await looked.save(PLAIN);
      await picture(version, 'done');
    },
    WAIT,
  );

  it(
    'writes what is typed into a field into the file, and takes it back',
    async () => {
      const version = looked.session.state.version;
      await picture(version, 'done');
      const field = '[data-field="thickness"]';
      await page.waitForSelector(field, { timeout: WAIT });
      await page.$eval(field, (e) => {
        (e as HTMLInputElement).value = '2.1';
        e.dispatchEvent(new Event('change', { bubbles: true }));
      });
      await looked.until((s) => s.version > version);
      expect(await readFile(looked.file, 'utf8')).toContain('thickness: 2.1 mm');
      const edited = looked.session.state.version;
      await picture(edited, 'first');
      await page.evaluate(() => document.querySelector<HTMLButtonElement>('.tools button')?.click());
      await looked.until((s) => s.version > edited);
      expect(await readFile(looked.file, 'utf8')).toBe(PLAIN);
    },
    WAIT,
  );

  it.each(['mouse', 'keyboard'])(
    'keeps a field under the hand of a %s where it is, whatever is told above it',
    async (hand) => {
      const field = '[data-field="thickness"]';
      // each in one go: fields are drawn anew
      const box = () =>
        page.evaluate((f) => document.querySelector(f)!.getBoundingClientRect().toJSON(), field);
      const top = async () => (await box()).top;
      const hover = async () => {
        const { x, y, width, height } = await box();
        await page.mouse.move(x + width / 2, y + height / 2);
      };
      const focus = () => page.evaluate((f) => document.querySelector<HTMLElement>(f)!.focus(), field);
      const still = async () => expect(Math.abs((await top()) - before)).toBeLessThanOrEqual(1);
      const gone = (box: string) =>
        page.waitForFunction(
          (b) => document.querySelector(b)?.childNodes.length === 0,
          { timeout: WAIT },
          box,
        );
      const takeUp = async () => {
        await page.evaluate((f) => document.querySelector(f)!.scrollIntoView({ block: 'center' }), field);
        if (hand === 'mouse') return hover();
        await focus();
        await page.keyboard.press('Home');
      };
      await picture(looked.session.state.version, 'done');
      await page.waitForSelector(field, { timeout: WAIT });
      await takeUp();
      let before = await top();
      await looked.save(PLAIN.replace('metal:', 'mettal:'));
      await page.waitForSelector('.mistakes .place', { timeout: WAIT });
      await still();
      await page.evaluate((f) => document.querySelector(f)!.classList.add('before'), field);
      await looked.save(PLAIN);
      await gone('.mistakes');
      await still();
      // what is typed next is not to be met by the fields of this save
      await page.waitForSelector(`${field}:not(.before)`, { timeout: WAIT });
      await still();

      const type = async (text: string) => {
        await page.evaluate((f) => document.querySelector<HTMLInputElement>(f)!.select(), field);
        await page.keyboard.type(text);
        await page.keyboard.press('Enter');
      };
      await focus();
      await takeUp();
      before = await top();
      await type('60');
      await page.waitForSelector('.pane > .fault .problems', { timeout: WAIT });
      await still();
      if (hand === 'mouse') await hover();
      await looked.save(PLAIN.replace('yellow-18', 'rose-18'));
      await gone('.pane > .fault');
      await still();
      const version = looked.session.state.version + 1;
      await looked.save(PLAIN);
      await picture(version, 'done');
    },
    WAIT,
  );

  it(
    'has an order written and taken back by keyboard, and nobody is locked out',
    async () => {
      await page.focus('.orders > button');
      await page.keyboard.press('Enter');
      await page.keyboard.type('N-1');
      await page.keyboard.press('Tab');
      await page.keyboard.type('Two names');
      expect(await violations(page)).toEqual([]);
      await page.keyboard.press('Enter');
      await page.waitForSelector('.orders li', { timeout: WAIT });
      expect(await page.$eval('.orders .typed', (e) => e.textContent)).toContain('make --only');
      expect(await readFile(`${looked.folder}/orders.csv`, 'utf8')).toContain('N-1,Two names,');
      expect(await violations(page)).toEqual([]);
      const edited = looked.session.state.version;
      await page.focus('.tools button');
      await page.keyboard.press('Enter');
      await looked.until((s) => s.version > edited);
      expect(await readFile(looked.file, 'utf8')).toBe(PLAIN);
    },
    WAIT,
  );

  it(
    'turns the band coarsely while it is dragged, and finely at rest',
    async () => {
      const count = () => page.evaluate(() => (globalThis as unknown as { seen: Seen[] }).seen.length);
      await picture(looked.session.state.version, 'done');
      const before = await count();
      const canvas = (await page.$('canvas'))!;
      await canvas.scrollIntoView();
      const box = (await canvas.boundingBox())!;
      await page.mouse.move(box.x + 100, box.y + 100);
      await page.mouse.down();
      await page.mouse.move(box.x + 160, box.y + 110, { steps: 5 });
      await page.mouse.up();
      const stages = await page.waitForFunction(
        (from) => {
          const since = (globalThis as unknown as { seen: Seen[] }).seen.slice(from).map((p) => p.stage);
          return since.at(-1) === 'done' ? since : undefined;
        },
        { timeout: WAIT },
        before,
      );
      expect(await stages.jsonValue()).toContain('coarse');
    },
    WAIT,
  );

  it(
    'WCAG 2.2 AA by axe-core in light and dark, one picture and two, and narrow',
    async () => {
      await expectNoViolations();
      await page.evaluate(() => document.querySelector<HTMLButtonElement>('button.another')?.click());
      await page.waitForFunction(() => document.querySelectorAll('.pane .told.below .band').length === 2, {
        timeout: WAIT,
      });
      await expectNoViolations();
      await page.evaluate(() =>
        document.querySelector<HTMLButtonElement>('.pane:nth-child(2) .ends > .quiet')?.click(),
      );
      await page.setViewport({ width: 600, height: 900 });
      await expectNoViolations();
      // measures can't be edited there: not even their heading stands
      expect(await page.$eval('.shaping', (e) => e.getClientRects().length)).toBe(0);
      await page.setViewport({ width: 1280, height: 900 });
    },
    WAIT,
  );

  it(
    'is in German where the config is, with nobody locked out in light and dark',
    async () => {
      await looked.save(`language: de\n${PLAIN}`);
      await page.waitForFunction(() => document.documentElement.lang.startsWith('de'), { timeout: WAIT });
      await page.waitForSelector('.unrolled', { timeout: WAIT });
      await expectNoViolations();
      await looked.save(PLAIN);
      await page.waitForFunction(() => document.documentElement.lang.startsWith('en'), { timeout: WAIT });
      await page.waitForSelector('.unrolled', { timeout: WAIT });
    },
    WAIT,
  );

  it(
    'says why a band cannot be built, beside a picture that was and one that never was',
    async () => {
      const narrow = PLAIN.replace('plain-court', 'tideline').replace(
        'grid:',
        'origins: { diamond: natural }\ngrid:',
      );
      await looked.save(
        narrow.replace('[4 mm, 5 mm], metal: [yellow-18, white-18]', '[4 mm], metal: [yellow-18]'),
      );
      const told = (panes: number) =>
        page.waitForFunction(
          (n) => {
            const faults = [...document.querySelectorAll('.pane > .fault')];
            return faults.length === n && faults.every((e) => e.textContent?.includes('near-shore'));
          },
          { timeout: WAIT },
          panes,
        );
      await told(1);
      // in sight wherever the page is scrolled to, and nobody is carried away
      const inSight = await page.evaluate(() => {
        scrollTo(0, document.body.scrollHeight);
        const { top, bottom } = document.querySelector('.pane > .fault')!.getBoundingClientRect();
        return { scrolled: scrollY > 0, top: top >= 0, bottom: bottom <= innerHeight };
      });
      expect(inSight).toEqual({ scrolled: true, top: true, bottom: true });
      await page.$eval('button.another', (e) => (e as HTMLElement).click());
      await told(2);
      expect(await violations(page)).toEqual([]);
    },
    WAIT,
  );

  it('has nothing to complain of', () => {
    // a browser itself notes, sooner or later, that solids were refused
    expect(complaints.filter((said) => !said.includes('status of 422'))).toEqual([]);
  });
});
