import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { extname, join } from 'node:path';
import type { Browser, Page } from 'puppeteer';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { ALLOYS } from '../../pipeline/trade/alloys.ts';
import { labOf } from '../../pipeline/trade/colour-table.ts';
import { atPlace, choice, openAt, pageBrowser, press, type Screen, violations } from './page-browser.ts';
import { METALS, publishSmall } from './page-catalogue.ts';

let folder: string;
let browser: Browser;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'bandwright-page-model-'));
  await publishSmall(folder);
  browser = await pageBrowser({ draws: true });
});
afterAll(async () => {
  await browser?.close();
  await rm(folder, { recursive: true, force: true });
});

const at = <T>(hash: string, see: (page: Page) => Promise<T>, screen?: Screen) =>
  atPlace(browser, folder, hash, see, screen);

/** With stones: they are drawn too. */
const LOOK = '#item=T-60-yellow-18';

describe('the model', () => {
  /**
   * The light of the viewer is grey, so that the mean of what a metal shows is its reflectance at normal incidence
   * times one number. Compared in CIELAB after bringing both to equal luminance. The tolerance is less than half the
   * distance of the two alloys that are nearest, yellow and rose (6 units).
   */
  const TOLERANCE = 2.5;
  const SMALL = { width: 360, height: 520 };

  it('wears each colourway in its alloy’s colour, and turns by keys and buttons', () =>
    at(
      LOOK,
      async (page) => {
        await (await choice(page, '3D model')).click();
        await page.waitForSelector('.model-pane[data-shown]');
        const pictures: Record<string, Buffer> = {};
        for (const metal of METALS) {
          await page.select('.colourway select', metal);
          await page.waitForSelector(`.model-pane[data-shown="${metal}"]`);
          const host = (await page.$('.model'))!;
          const png = await host.screenshot({ type: 'png' });
          pictures[metal] = await sharp(png).removeAlpha().raw().toBuffer();
        }
        const mask = changing(Object.values(pictures));
        const pixels = mask.reduce((n, m) => n + m, 0);
        expect(pixels).toBeGreaterThan(2500);
        for (const metal of METALS) {
          const seen = meanLinear(pictures[metal], mask);
          const far = (id: string) => colourDistance(seen, ALLOYS.get(id)!.f0);
          expect(far(metal), `${metal}: ${seen.map((v) => v.toFixed(3))}`).toBeLessThan(TOLERANCE);
          expect(METALS.reduce((a, b) => (far(b) < far(a) ? b : a))).toBe(metal);
        }
        const host = (await page.$('.model'))!;
        const before = await drawn(page, host);
        await host.focus();
        await page.keyboard.press('ArrowRight');
        const after = await drawn(page, host);
        expect(after.equals(before)).toBe(false);
        await press(page, '[aria-label="Turn left"]');
        expect((await drawn(page, host)).equals(before)).toBe(true);
        expect(new URL(page.url()).hash).toContain('T-60-yellow-18');
        expect(await violations(page)).toEqual([]);
      },
      SMALL,
    ));

  it('is loaded from a web server as from disk, and says so where a browser cannot draw it', async () => {
    const server = await serve(folder);
    try {
      const url = `http://127.0.0.1:${(server.address() as AddressInfo).port}/`;
      const { page, complaints } = await openAt(browser, `${url}#item=T-50-yellow-18`, url, SMALL);
      await page.waitForSelector('dialog[open] h2');
      // the model is read before anything is asked to draw it, which is the same from everywhere and takes seconds
      await page.evaluate(() => {
        HTMLCanvasElement.prototype.getContext = () => null;
      });
      await (await choice(page, '3D model')).click();
      await page.waitForSelector('.model.empty');
      const told = await page.$eval('.model-pane [role=status]', (e) => e.textContent);
      expect(told).toContain('WebGL');
      expect(complaints.filter((said) => !said.includes('WebGL'))).toEqual([]);
      await page.close();
    } finally {
      server.close();
    }
  });

  async function drawn(page: Page, host: Awaited<ReturnType<Page['$']>>): Promise<Buffer> {
    await page.evaluate(() => new Promise((r) => requestAnimationFrame(() => requestAnimationFrame(r))));
    return Buffer.from(await host!.screenshot());
  }
});

/** Pixels that differ between colourways are metal: ground, shadow and stones stay. */
function changing(pictures: Buffer[]): number[] {
  return Array.from({ length: pictures[0].length / 3 }, (_, i) => {
    const spread = [0, 1, 2].map((c) => {
      const values = pictures.map((p) => p[3 * i + c]);
      return Math.max(...values) - Math.min(...values);
    });
    return Math.max(...spread) > 10 ? 1 : 0;
  });
}

/**
 * Mean linear colour of the masked pixels that the display transform did not compress. Its toe is undone (Khronos PBR
 * Neutral Tone Mapper, specification: offset x − 6.25 x² below 0.08, else 0.04; compression begins at 0.76).
 */
function meanLinear(picture: Buffer, mask: readonly number[]): [number, number, number] {
  const linear = (v: number) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
  const sum = [0, 0, 0];
  let n = 0;
  mask.forEach((m, i) => {
    const shown = [0, 1, 2].map((c) => linear(picture[3 * i + c] / 255));
    if (!m || Math.max(...shown) > 0.75) return;
    const least = Math.min(...shown);
    const offset = (least < 0.04 ? Math.sqrt(least / 6.25) : least + 0.04) - least;
    shown.forEach((v, c) => {
      sum[c] += v + offset;
    });
    n++;
  });
  return sum.map((s) => s / n) as [number, number, number];
}

/** CIE 1976 ΔE of two linear Rec. 709 colours at the luminance of the second. */
function colourDistance(a: readonly number[], b: readonly [number, number, number]): number {
  const y = (c: readonly number[]) => 0.2126 * c[0] + 0.7152 * c[1] + 0.0722 * c[2];
  const scaled = a.map((v) => (v * y(b)) / y(a)) as [number, number, number];
  const [p, q] = [labOf(scaled), labOf([...b])];
  return Math.hypot(...p.map((v, i) => v - q[i]));
}

async function serve(root: string): Promise<Server> {
  const types: Record<string, string> = {
    '.html': 'text/html',
    '.js': 'text/javascript',
    '.webp': 'image/webp',
  };
  const server = createServer(async (request, response) => {
    const path = decodeURIComponent(new URL(request.url ?? '/', 'http://x').pathname);
    const file = join(root, path === '/' ? 'index.html' : path);
    const body = await readFile(file).catch(() => undefined);
    response.writeHead(body ? 200 : 404, {
      'Content-Type': types[extname(file)] ?? 'application/octet-stream',
    });
    response.end(body);
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  return server;
}
