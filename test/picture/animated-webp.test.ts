/** Against libwebp's own decoder, by way of sharp; the container is that of RFC 9649. */
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { animatedWebp } from '../../pipeline/picture/animated-webp.ts';
import { crossFaded, evenly } from '../../pipeline/picture/moving.ts';
import type { Print } from '../../pipeline/picture/prints.ts';

const [WIDTH, HEIGHT] = [50, 34];

const flat = (...rgb: [number, number, number]): Print => ({
  width: WIDTH,
  height: HEIGHT,
  data: Uint8Array.from({ length: 3 * WIDTH * HEIGHT }, (_, i) => rgb[i % 3]),
});

describe('animated WebP', () => {
  it('a fade of small steps arrives: every frame is what was given', async () => {
    // gold to white metal in steps of a few codes
    const frames = crossFaded([flat(222, 190, 130), flat(205, 203, 200)], 4);
    const file = Buffer.from(await animatedWebp(frames, 80));
    const {
      pages,
      delay = [],
      loop,
      hasProfile,
      width,
      pageHeight,
    } = await sharp(file, { pages: -1 }).metadata();
    expect({ pages, loop, hasProfile, width, pageHeight }).toEqual({
      pages: frames.length,
      loop: 0,
      hasProfile: true,
      width: WIDTH,
      pageHeight: HEIGHT,
    });
    expect(delay.reduce((sum, ms) => sum + ms)).toBe(4000);
    for (const [page, { print }] of frames.entries()) {
      const data = await sharp(file, { page }).removeAlpha().raw().toBuffer();
      const off = data.map((v, i) => Math.abs(v - print.data[i]));
      // what a still picture of this quality may be off by; an unchanged frame would be off by up to 70
      expect(Math.max(...off), `frame ${page}`).toBeLessThanOrEqual(6);
    }
  });

  it('times that do not divide keep their sum', async () => {
    const frames = evenly([flat(0, 0, 0), flat(120, 120, 120), flat(255, 255, 255)], 1);
    const { delay } = await sharp(Buffer.from(await animatedWebp(frames, 80)), { pages: -1 }).metadata();
    expect(delay).toEqual([333, 334, 333]);
  });
});
