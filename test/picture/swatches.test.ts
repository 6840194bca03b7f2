import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { swatchCard } from '../../pipeline/picture/swatches.ts';
import type { Film } from '../../pipeline/tracer/tracer.ts';

const SIZE = 240;

/** A disc of one colour on white; the pale one has a darker core only, as a bright metal's middle may be. */
function disc(colour: [number, number, number], radius = 80): Film {
  const data = new Float32Array(SIZE * SIZE * 3).fill(1);
  for (let y = 0; y < SIZE; y++)
    for (let x = 0; x < SIZE; x++)
      if (Math.hypot(x - 120, y - 110) < radius) data.set(colour, 3 * (y * SIZE + x));
  return { width: SIZE, height: SIZE, data };
}

const SWATCHES = [
  { caption: 'Yellow gold 18 ct', film: disc([0.5, 0.3, 0.1]) },
  { caption: 'Rosé & weiß', film: disc([0.4, 0.2, 0.15], 60) },
  { caption: 'Platinum 950', film: disc([0.3, 0.3, 0.3]) },
  {
    caption: 'A caption that is much wider than its swatch could ever be drawn at full height',
    film: disc([0.2, 0.2, 0.2]),
  },
  { caption: 'Titanium', film: disc([0.1, 0.1, 0.1]) },
];

describe('swatches', () => {
  it('are cropped to one place that holds the largest subject with ground around it', async () => {
    const { singles, crop } = await swatchCard(SWATCHES, 1);
    expect(singles.map((s) => [s.width, s.height])).toEqual(
      SWATCHES.map(() => [crop.right - crop.left, crop.bottom - crop.top]),
    );
    // discs of radius 80 about (120, 110): bounds 40…200 and 30…190, less than a tenth around
    for (const [found, edge] of [
      [crop.left, 40],
      [crop.top, 30],
    ])
      expect(edge - found).toBeGreaterThanOrEqual(5);
    for (const { data } of singles) {
      const { data: codes, info } = await sharp(data).raw().toBuffer({ resolveWithObject: true });
      expect(info.channels).toBe(3);
      const border = [...codes.subarray(0, 3 * info.width), ...codes.subarray(-3 * info.width)];
      expect(Math.min(...border)).toBe(255);
    }
  });

  it('stand on the card exactly as alone, each with ink under it and within its width', async () => {
    const { card, singles, columns } = await swatchCard(SWATCHES, 1);
    const page = await sharp(card.data).raw().toBuffer();
    const code = (x: number, y: number) => page[3 * (y * card.width + x) + 1];
    const [w, h] = [singles[0].width, singles[0].height];
    const gap = (card.width - columns * w) / (columns + 1);
    const line = (card.height - gap) / Math.ceil(SWATCHES.length / columns) - h - gap;
    expect([gap, line].every(Number.isInteger)).toBe(true);
    for (const [i, single] of singles.entries()) {
      const left = gap + (i % columns) * (w + gap);
      const top = gap + Math.floor(i / columns) * (h + line + gap);
      const own = await sharp(single.data).raw().toBuffer();
      for (let y = 0; y < h; y += 7)
        for (let x = 0; x < w; x += 7) expect(code(left + x, top + y)).toBe(own[3 * (y * w + x) + 1]);
      const ink = { least: card.width, most: 0 };
      for (let y = top + h; y < top + h + line; y++)
        for (let x = Math.max(0, left - gap); x < left + w + gap && x < card.width; x++)
          if (code(x, y) < 150)
            Object.assign(ink, { least: Math.min(ink.least, x), most: Math.max(ink.most, x) });
      expect(ink.most).toBeGreaterThan(ink.least);
      expect(ink.least).toBeGreaterThanOrEqual(left - 1);
      expect(ink.most).toBeLessThanOrEqual(left + w);
    }
  });

  it('are the same bytes every time, and refuse what cannot be', async () => {
    const [a, b] = [await swatchCard(SWATCHES, 1), await swatchCard(SWATCHES, 1)];
    expect(Buffer.from(a.card.data).equals(Buffer.from(b.card.data))).toBe(true);
    await expect(swatchCard([], 1)).rejects.toThrow(RangeError);
    await expect(swatchCard([{ caption: '日本', film: SWATCHES[0].film }], 1)).rejects.toThrow(RangeError);
    const small = { width: 2, height: 2, data: new Float32Array(12) };
    await expect(swatchCard([SWATCHES[0], { caption: 'x', film: small }], 1)).rejects.toThrow(RangeError);
  });

  it('are cut out with a matte, clear where no band is, while the card stays on white', async () => {
    const film = disc([0.4, 0.2, 0.1]);
    const data = new Float32Array(3 * SIZE * SIZE);
    for (let y = 0; y < SIZE; y++)
      for (let x = 0; x < SIZE; x++)
        data.set(Math.hypot(x - 120, y - 110) < 80 ? [1, 0, 0] : [0, 1, 0], 3 * (y * SIZE + x));
    const matte = { width: SIZE, height: SIZE, data };
    const { card, singles } = await swatchCard([{ caption: 'One', film }], 1, { matte });
    const { data: codes, info } = await sharp(singles[0].data).raw().toBuffer({ resolveWithObject: true });
    const alpha = (x: number, y: number) => codes[4 * (y * info.width + x) + 3];
    expect(info.channels).toBe(4);
    expect(alpha(0, 0)).toBe(0);
    expect(alpha(info.width >> 1, info.height >> 1)).toBe(255);
    expect((await sharp(card.data).metadata()).channels).toBe(3);
  });

  it('have a line below the card for what is marked, within its width', async () => {
    const swatches = [{ caption: 'One *', film: disc([0.4, 0.2, 0.1]) }];
    const bare = (await swatchCard(swatches, 1)).card;
    const noted = (await swatchCard(swatches, 1, { note: '* not measured' })).card;
    expect(noted.width).toBe(bare.width);
    expect(noted.height).toBeGreaterThan(bare.height);
    const { data, info } = await sharp(noted.data).greyscale().raw().toBuffer({ resolveWithObject: true });
    // ink in the last line, none at the very rim
    expect(Math.min(...data.subarray((bare.height - 4) * info.width))).toBeLessThan(150);
    for (let y = 0; y < info.height; y++) expect(data[y * info.width + info.width - 1]).toBe(255);
    await expect(swatchCard(swatches, 1, { note: '日本' })).rejects.toThrow(RangeError);
  });

  it('show the whole film if that is asked', async () => {
    const { singles } = await swatchCard([{ caption: 'One', film: disc([0.4, 0.2, 0.1]) }], 1, {
      whole: true,
    });
    expect([singles[0].width, singles[0].height]).toEqual([SIZE, SIZE]);
  });
});
