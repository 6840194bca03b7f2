import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { letteringSvg, missingLetters } from '../../pipeline/picture/lettering.ts';
import { anchoredBox, inkOn, markBoxes } from '../../pipeline/picture/mark-place.ts';
import { loadWatermark, stampWatermark } from '../../pipeline/picture/watermark.ts';
import type { WatermarkPlan } from '../../pipeline/plan/plan.ts';
import { ProblemError } from '../../pipeline/problem.ts';

const plan = (over: Partial<WatermarkPlan>): WatermarkPlan => ({
  image: '/logo',
  size: 0.2,
  anchor: 'bottom-right',
  margin: 0.05,
  opacity: 1,
  ...over,
});
const load = (file: string | Uint8Array, over: Partial<WatermarkPlan> = {}) =>
  loadWatermark(plan(over), async () => Buffer.from(file as string));
const svg = (inner: string, size = 'width="100" height="50"') =>
  `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" ${size}>${inner}</svg>`;
const SQUARE = svg('<rect width="100" height="50"/>');

async function refusal(file: string | Uint8Array) {
  const error = await load(file).catch((e) => e);
  expect(error).toBeInstanceOf(ProblemError);
  return (error as ProblemError).problems.map((p) => `${p.code}: ${p.received}`).join('\n');
}

describe('placing', () => {
  it('puts nine anchors with margin and size as shares of the width', async () => {
    const mark = await load(SQUARE);
    const at = (anchor: Parameters<typeof anchoredBox>[1]) => {
      const { left, top, width, height } = anchoredBox(mark, anchor, 400, 300);
      return [left, top, width, height];
    };
    expect(at('top-left')).toEqual([20, 20, 80, 40]);
    expect(at('top')).toEqual([160, 20, 80, 40]);
    expect(at('top-right')).toEqual([300, 20, 80, 40]);
    expect(at('left')).toEqual([20, 130, 80, 40]);
    expect(at('centre')).toEqual([160, 130, 80, 40]);
    expect(at('right')).toEqual([300, 130, 80, 40]);
    expect(at('bottom-left')).toEqual([20, 240, 80, 40]);
    expect(at('bottom')).toEqual([160, 240, 80, 40]);
    expect(at('bottom-right')).toEqual([300, 240, 80, 40]);
  });

  it('shrinks a mark that would not fit between the margins', () => {
    const tall = { width: 10, height: 400, plan: plan({ size: 1, margin: 0.1 }) };
    expect(anchoredBox(tall, 'bottom-right', 200, 200)).toEqual({
      left: 176,
      top: 20,
      width: 4,
      height: 160,
    });
  });

  it('inks exactly its box and leaves every other pixel as it was', async () => {
    const ground = new Uint8Array(400 * 300 * 3).fill(255);
    const { data } = await stampWatermark(ground, 400, 300, await load(SQUARE, { opacity: 0.5 }));
    let inked = 0;
    let wrong = 0;
    for (let y = 0; y < 300; y++) {
      for (let x = 0; x < 400; x++) {
        const v = data[3 * (y * 400 + x)];
        const inside = x >= 300 && x < 380 && y >= 240 && y < 280;
        if (inside ? Math.abs(v - 127.5) > 1.5 : v !== 255) wrong++;
        if (v < 255) inked++;
      }
    }
    expect(wrong).toBe(0);
    expect(inked).toBe(80 * 40);
  });

  it('takes PNG with transparency', async () => {
    const png = await sharp({
      create: { width: 40, height: 20, channels: 4, background: { r: 255, g: 0, b: 0, alpha: 0.5 } },
    })
      .png()
      .toBuffer();
    const { data } = await stampWatermark(new Uint8Array(300 * 300 * 3).fill(255), 300, 300, await load(png));
    const at = 3 * (260 * 300 + 250);
    expect(data[at]).toBe(255);
    expect(Math.abs(data[at + 1] - 127.5)).toBeLessThan(2);
  });
});

/** A picture of one grey, with rectangles [left, top, width, height, grey] that alternate with black every other pixel. */
function picture(width: number, height: number, grey: number, ...busy: number[][]) {
  const data = new Uint8Array(width * height * 3).fill(grey);
  for (const [left, top, w, h, other] of busy)
    for (let y = top; y < top + h; y++)
      for (let x = left; x < left + w; x++)
        data.fill((x + y) % 2 ? other : 0, 3 * (y * width + x), 3 * (y * width + x) + 3);
  return { width, height, data };
}

describe('clear of the subject', () => {
  it('takes the first corner or edge under which nothing stands', async () => {
    const mark = { ...(await load(SQUARE)), plan: plan({ anchor: 'clear' }) };
    const at = (...busy: number[][]) => {
      const [box] = markBoxes(mark, picture(400, 300, 255, ...busy));
      return [box.left, box.top];
    };
    expect(at()).toEqual([300, 240]);
    // a band that fills the middle and reaches into the lower right corner, then into both lower ones
    expect(at([120, 80, 240, 190, 200])).toEqual([20, 240]);
    expect(at([30, 200, 360, 90, 200])).toEqual([300, 20]);
  });

  it('takes the emptiest place where none is empty', async () => {
    const mark = { ...(await load(SQUARE)), plan: plan({ anchor: 'clear' }) };
    const everywhere = picture(400, 300, 255, [0, 0, 400, 300, 255], [0, 0, 110, 70, 60]);
    expect(markBoxes(mark, everywhere)[0]).toMatchObject({ left: 20, top: 20 });
  });
});

describe('repeated', () => {
  it('covers the picture in rows of whole marks that never overlap, one of them in the middle', async () => {
    const mark = { ...(await load(SQUARE)), plan: plan({ repeat: true }) };
    const boxes = markBoxes(mark, picture(400, 300, 255));
    expect(boxes).toContainEqual({ left: 160, top: 130, width: 80, height: 40 });
    // 80 × 40 px with gaps of 48: three or two in each of three rows
    expect(boxes.length).toBe(7);
    for (const [i, a] of boxes.entries()) {
      expect(a.left >= 0 && a.top >= 0 && a.left + a.width <= 400 && a.top + a.height <= 300).toBe(true);
      for (const b of boxes.slice(i + 1))
        expect(
          a.left + a.width <= b.left ||
            b.left + b.width <= a.left ||
            a.top + a.height <= b.top ||
            b.top + b.height <= a.top,
        ).toBe(true);
    }
    // no gap wider than two steps: every quarter of the picture has a mark
    for (const [x, y] of [
      [0, 0],
      [200, 0],
      [0, 150],
      [200, 150],
    ])
      expect(
        boxes.some(
          (b) => b.left < x + 200 && b.left + b.width > x && b.top < y + 150 && b.top + b.height > y,
        ),
      ).toBe(true);
  });
});

describe('ink', () => {
  const text = (over: Partial<WatermarkPlan> = {}) =>
    loadWatermark(
      plan({ image: undefined, text: 'Saltmarsh', size: 0.8, anchor: 'centre', opacity: 0.6, ...over }),
    );
  /** WCAG 2.2 contrast of the strongest inked pixel against its ground, for greys. */
  async function contrast(grey: number, mark: Awaited<ReturnType<typeof text>>): Promise<number> {
    const ground = picture(300, 120, grey);
    const { data } = await stampWatermark(ground.data, 300, 120, mark);
    const luminance = (code: number) => {
      const v = code / 255;
      return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
    };
    const under = luminance(grey) + 0.05;
    let most = 1;
    for (let i = 0; i < data.length; i += 3) {
      const over = luminance(data[i]) + 0.05;
      most = Math.max(most, over / under, under / over);
    }
    return most;
  }

  it('of a text reaches 3 : 1 on any grey (WCAG 2.2, 1.4.11, for graphics), which one ink alone does not', async () => {
    const mark = await text();
    const fixed = await text({ ink: 'own' });
    let worstFixed = Infinity;
    for (const grey of [0, 40, 90, 118, 140, 180, 220, 255]) {
      if (grey !== 118) expect(await contrast(grey, mark), `grey ${grey}`).toBeGreaterThan(2.4);
      worstFixed = Math.min(worstFixed, await contrast(grey, fixed));
    }
    expect(await contrast(255, mark)).toBeGreaterThan(3);
    expect(await contrast(0, mark)).toBeGreaterThan(3);
    expect(worstFixed).toBeLessThan(1.3);
  });

  it('is decided under each place by itself', async () => {
    const half = picture(400, 100, 255);
    for (let y = 0; y < 100; y++) half.data.fill(10, 3 * (y * 400 + 200), 3 * (y * 400 + 400));
    expect(inkOn(half, { left: 10, top: 10, width: 50, height: 20 })).toBe('#1c1c1c');
    expect(inkOn(half, { left: 300, top: 10, width: 50, height: 20 })).toBe('#f4f4f4');
  });

  it('of a logo is its own unless asked', async () => {
    const black = picture(400, 300, 0).data;
    const own = await stampWatermark(black, 400, 300, await load(SQUARE));
    expect(own.data.some((v) => v > 0)).toBe(false);
    const light = await stampWatermark(black, 400, 300, await load(SQUARE, { ink: 'contrast' }));
    expect(light.data.reduce((a, b) => Math.max(a, b), 0)).toBe(0xf4);
  });
});

describe('logos that are refused', () => {
  it.each([
    ['a DOCTYPE with entities', `<!DOCTYPE svg [<!ENTITY a "b">]>${SQUARE}`, /entity/],
    ['script', svg('<script>1</script>'), /script/],
    ['namespaced script', svg('<s:script xmlns:s="http://www.w3.org/2000/svg">1</s:script>'), /script/],
    ['an event handler', svg('<rect onload="x()" width="1" height="1"/>'), /script/],
    ['an encoded javascript link', svg('<a xlink:href="&#106;avascript:x"><rect/></a>'), /script/],
    ['an outside image', svg('<image href="http://example.org/a.png"/>'), /outside/],
    ['a local file', svg("<image xlink:href='/etc/hostname'/>"), /outside/],
    ['a nested SVG as data', svg('<image href="data:image/svg+xml,x"/>'), /outside/],
    ['an outside paint', svg('<rect fill="url(http://example.org/a.svg#p)"/>'), /outside/],
    ['an escaped url', svg('<style>rect{fill:u\\72l(//example.org/x)}</style>'), /outside/],
    ['an import', svg('<style>@import "x.css";</style>'), /outside/],
    ['a style sheet', `<?xml-stylesheet href="a.css"?>${SQUARE}`, /outside/],
    ['foreign content', svg('<foreignObject><p/></foreignObject>'), /foreign/],
    ['text in a font', svg('<text>Hi</text>'), /font/],
    ['a drawing too large', svg('', 'width="5000" height="10"'), /watermark-too-large: 5000/],
    ['a torn SVG', '<svg xmlns="http://www.w3.org/2000/svg"><rect', /watermark-broken/],
    ['neither SVG nor PNG', 'GIF89a', /watermark-kind/],
    ['a file too big', SQUARE + ' '.repeat(2 * 1024 * 1024), /watermark-too-big: 2\.0 MB/],
  ])('%s', async (_, file, expected) => {
    expect(await refusal(file)).toMatch(expected);
  });

  it('a PNG cut short', async () => {
    const noise = Buffer.from(Array.from({ length: 64 * 64 * 3 }, (_, i) => (i * 7919) % 251));
    const png = await sharp(noise, { raw: { width: 64, height: 64, channels: 3 } })
      .png()
      .toBuffer();
    expect(await refusal(png.subarray(0, png.length / 2))).toMatch(/watermark-broken/);
  });

  it('a file that cannot be read, naming path and cause', async () => {
    const error = (await loadWatermark(plan({ image: '/nowhere/logo.svg' })).catch((e) => e)) as ProblemError;
    expect(error.problems[0]).toMatchObject({ code: 'watermark-unreadable', path: 'watermark.image' });
    expect(error.problems[0].received).toMatch(/\/nowhere\/logo\.svg \(ENOENT\)/);
  });

  it('takes what logos usually hold: gradients, use, clip paths, embedded PNG', async () => {
    const png = await sharp({ create: { width: 1, height: 1, channels: 3, background: '#fff' } })
      .png()
      .toBuffer();
    const mark = await load(
      svg(
        '<defs><linearGradient id="g"><stop stop-color="#000"/></linearGradient><clipPath id="c"><circle r="9"/></clipPath></defs>' +
          '<path id="p" d="M0 0h9" fill="url(#g)" clip-path="url(\'#c\')"/><use xlink:href="#p"/>' +
          `<image href="data:image/png;base64,${png.toString('base64')}" width="5" height="5"/>`,
      ),
    );
    expect(mark).toMatchObject({ kind: 'svg', width: 100, height: 50 });
  });
});

describe('text', () => {
  it('is drawn as strokes, so it needs no font on the machine', async () => {
    const drawn = letteringSvg('© Brøns & Søn 1931');
    expect(drawn).not.toMatch(/<text|font/);
    const { data, info } = await sharp(Buffer.from(drawn))
      .flatten({ background: '#fff' })
      .greyscale()
      .raw()
      .toBuffer({ resolveWithObject: true });
    const columns = Array.from({ length: info.width }, (_, x) =>
      Array.from({ length: info.height }, (_, y) => data[y * info.width + x]).some((v) => v < 128),
    );
    // ink begins at the left edge, ends at the right edge, and there are at least as many inked runs as words
    expect(columns.slice(0, 12).some(Boolean) && columns.slice(-12).some(Boolean)).toBe(true);
    const runs = columns.filter((ink, x) => ink && !columns[x - 1]).length;
    expect(runs).toBeGreaterThanOrEqual(14);
  });

  it('covers printable ASCII and the accents of European names', () => {
    const ascii = String.fromCharCode(...Array.from({ length: 95 }, (_, i) => 32 + i));
    expect(missingLetters(ascii)).toEqual([]);
    expect(missingLetters('ÄÖÜäöüßÅåÆæØøÉéÈèÊêËëÇçÑñÃãÕõŠšŽžČčŘřŁłŃńÓóŚśŐőŰűİıĞğŞş©®™°·–—’“”€£')).toEqual([]);
  });

  it('reports letters it cannot draw, each once', async () => {
    expect(missingLetters('Gold 金金 λ')).toEqual(['金', 'λ']);
    const error = (await loadWatermark(plan({ image: undefined, text: 'Gold 金' })).catch(
      (e) => e,
    )) as ProblemError;
    expect(error.problems[0]).toMatchObject({ code: 'watermark-letters', received: '"金"' });
  });

  it('refuses a watermark with neither image nor text', async () => {
    await expect(loadWatermark(plan({ image: undefined, text: '  ' }))).rejects.toThrow(/watermark-empty/);
  });
});
