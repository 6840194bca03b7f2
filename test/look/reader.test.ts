import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { build } from 'esbuild';
import type { Browser, Page } from 'puppeteer';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { drawingOf } from '../../pipeline/look/drawing.ts';
import { fieldsOf } from '../../pipeline/look/fields.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { checkPlan } from '../../pipeline/run/check.ts';
import { localeOf } from '../../pipeline/words/locale.ts';
import { openAt, pageBrowser, violations } from '../page/page-browser.ts';
import { config, inMemory } from '../plan/workspace.ts';

const SCRIPT = `
import { mountDrawing } from './pipeline/look/reader/drawing.ts';
import { mountFields } from './pipeline/look/reader/fields.ts';
window.asked = [];
const ask = (change) => window.asked.push(change);
const drawing = mountDrawing(document.querySelector('#drawing'), ask);
const fields = mountFields(document.querySelector('#fields'), ask);
window.show = (readOnly) => { drawing.show(window.data.drawing, readOnly); fields.show(window.data.fields, readOnly); };
window.show(false);
`;

async function pageOf(template: string, overrides: string): Promise<string> {
  const text = config({
    template: `template: ${template}`,
    grid: 'grid: { size: [ISO 55] }',
    overrides: `overrides: ${overrides}`,
  });
  const { plan, sources } = await readPlan('/workspace/config.yaml', inMemory({ 'config.yaml': text }));
  const [source] = sources.values();
  const { variants } = await checkPlan(plan, () => true);
  const locale = localeOf('en');
  const drawing = drawingOf(source.design, variants[0].facts?.checks ?? [], locale, source);
  const { outputFiles } = await build({
    stdin: { contents: SCRIPT, resolveDir: process.cwd() },
    bundle: true,
    format: 'iife',
    write: false,
  });
  const styles = ['drawing', 'fields'].map((name) => readFile(`pipeline/look/reader/${name}.css`, 'utf8'));
  const data = JSON.stringify({ drawing, fields: fieldsOf(source, locale) });
  return `<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Trial</title><style>:root { color-scheme: light dark; } body { font: 16px system-ui; }
${(await Promise.all(styles)).join('\n')}</style></head><body><main><h1>Trial</h1><div id="drawing"></div><div id="fields"></div></main>
<script>window.data = ${data.replaceAll('<', '\\u003c')};</script><script>${outputFiles[0].text}</script></body></html>`;
}

let browser: Browser;
let folder = '';
let url = '';

beforeAll(async () => {
  browser = await pageBrowser();
  folder = await mkdtemp(path.join(tmpdir(), 'reader-'));
  await writeFile(
    path.join(folder, 'index.html'),
    await pageOf('tideline', '{ rows: { crest: { coverage: half } } }'),
  );
  url = pathToFileURL(path.join(folder, 'index.html')).href;
});
afterAll(async () => {
  await browser?.close();
  await rm(folder, { recursive: true, force: true });
});

const asked = (page: Page) => page.evaluate(() => (window as unknown as { asked: unknown[] }).asked);
const open = async () => (await openAt(browser, url, url, { width: 1280, height: 1100 })).page;

describe('the drawing and the fields in a page', () => {
  it('satisfy WCAG 2.2 AA by axe-core, light and dark', async () => {
    const page = await open();
    for (const value of ['light', 'dark']) {
      await page.emulateMediaFeatures([{ name: 'prefers-color-scheme', value }]);
      if (process.env.BANDWRIGHT_SHOW)
        await page.screenshot({ path: `${process.env.BANDWRIGHT_SHOW}/${value}.png`, fullPage: true });
      expect(await violations(page), value).toEqual([]);
    }
    await page.close();
  });

  it('move a handle by arrow keys, and ask once when they come to rest', async () => {
    const page = await open();
    const before = await page.$eval('[data-handle="seams.near.at"]', (g) =>
      Number(g.getAttribute('aria-valuenow')),
    );
    await page.$eval('[data-handle="seams.near.at"]', (g) => (g as SVGElement).focus());
    await page.keyboard.press('ArrowDown');
    await page.keyboard.press('ArrowDown');
    await page.keyboard.down('Shift');
    await page.keyboard.press('ArrowUp');
    await page.keyboard.up('Shift');
    await page.waitForFunction(() => (window as unknown as { asked: unknown[] }).asked.length > 0);
    const [change, ...more] = (await asked(page)) as { id: string; y: number }[];
    expect(more).toEqual([]);
    expect(change).toMatchObject({ kind: 'handle', id: 'seams.near.at' });
    expect(change.y).toBeCloseTo(before + 2 * 0.05 - 0.5, 6);
    // shown anew, the handle keeps the focus
    await page.evaluate(() => (window as unknown as { show(readOnly: boolean): void }).show(false));
    expect(await page.evaluate(() => document.activeElement?.getAttribute('data-handle'))).toBe(
      'seams.near.at',
    );
    await page.close();
  });

  it('follow the pointer to scale', async () => {
    const page = await open();
    const grip = (await page.$('[data-handle="width"] .reach'))!;
    const box = (await grip.boundingBox())!;
    const scale = await page.$eval('.unrolled svg', (svg) => (svg as SVGSVGElement).getScreenCTM()!.a);
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x + 40, y + scale, { steps: 4 });
    await page.mouse.up();
    const [change] = (await asked(page)) as { id: string; x: number; y: number }[];
    const at = await page.evaluate(
      () => (window as unknown as { data: { drawing: { height: number; width: number } } }).data.drawing,
    );
    expect(change).toMatchObject({ id: 'width' });
    expect(change.x).toBeCloseTo((at.width * 11) / 12, 2);
    expect(change.y).toBeCloseTo(at.height + 1, 2);
    await page.close();
  });

  it('ask for what is typed, and for nothing where a page only looks', async () => {
    const page = await open();
    await page.focus('[data-field="thickness"]');
    await page.keyboard.press('ArrowUp');
    await page.select('[data-field="lanes.tide.finish"]', 'satin');
    expect(await asked(page)).toEqual([
      { kind: 'field', id: 'thickness', text: '1.95' },
      { kind: 'field', id: 'lanes.tide.finish', text: 'satin' },
    ]);
    // shown anew while it is typed into, a field still tells what it was given
    await page.click('[data-field="thickness"]', { count: 3 });
    await page.keyboard.type('2.1');
    await page.evaluate(() => (window as unknown as { show(readOnly: boolean): void }).show(false));
    await page.keyboard.press('Tab');
    expect((await asked(page)) as unknown[]).toContainEqual({ kind: 'field', id: 'thickness', text: '2.1' });
    await page.evaluate(() => (window as unknown as { show(readOnly: boolean): void }).show(true));
    expect(await page.$$('[data-handle]')).toEqual([]);
    expect(await page.$$('fieldset:not([disabled])')).toEqual([]);
    await page.close();
  });
});
