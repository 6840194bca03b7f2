import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { encodePictures } from '../../pipeline/picture/encode.ts';
import type { ImageOutput } from '../../pipeline/plan/plan.ts';
import type { Film } from '../../pipeline/tracer/tracer.ts';

const WHITE = 1.3;
const SIDE = 64;

/** Film and matte of a disc of gold with a soft shadow to its right, on white ground. */
function disc(gleam = 0): { film: Film; matte: Film } {
  const film = new Float32Array(SIDE * SIDE * 3);
  const matte = new Float32Array(SIDE * SIDE * 3);
  for (let y = 0; y < SIDE; y++)
    for (let x = 0; x < SIDE; x++) {
      const i = 3 * (y * SIDE + x);
      const coverage = Math.min(1, Math.max(0, 14 - Math.hypot(x - 24, y - 32) + 0.5));
      const shadow = 1 - 0.6 * Math.exp(-(((x - 40) / 8) ** 2) - ((y - 32) / 8) ** 2);
      const through = (1 - coverage) * shadow;
      matte.set([coverage, through, 0], i);
      [0.9, 0.6, 0.25].forEach((c, k) => {
        film[i + k] = coverage * c + WHITE * through + (1 - coverage) * gleam * c * (1 - shadow);
      });
    }
  const size = { width: SIDE, height: SIDE };
  return { film: { ...size, data: film }, matte: { ...size, data: matte } };
}

async function pixels(film: Film, matte: Film | undefined, output: ImageOutput) {
  const [image] = await encodePictures(film, [output], { white: WHITE, matte, thumbnail: false });
  const { data, info } = await sharp(image.data).raw().toBuffer({ resolveWithObject: true });
  return { data, channels: info.channels, width: info.width };
}

const png = (width = SIDE): ImageOutput => ({ format: 'png', widths: [width], quality: 1 });

/** Straight alpha over one code value, as browsers and layout programs composite. */
function over(rgba: Buffer, background: number): number[] {
  const out: number[] = [];
  for (let i = 0; i < rgba.length; i += 4)
    for (let k = 0; k < 3; k++)
      out.push((rgba[i + k] * rgba[i + 3] + background * (255 - rgba[i + 3])) / 255);
  return out;
}

describe('cut-outs', () => {
  it.each([SIDE, 29])('laid over white at %i px, they are the picture on white ground', async (width) => {
    for (const gleam of [0, 0.5]) {
      const { film, matte } = disc(gleam);
      const clear = await pixels(film, matte, png(width));
      const white = await pixels(film, undefined, png(width));
      expect([clear.channels, white.channels]).toEqual([4, 3]);
      const laid = over(clear.data, 255);
      let worst = 0;
      let wide = 0;
      laid.forEach((v, i) => {
        const difference = Math.abs(v - white.data[i]);
        worst = Math.max(worst, difference);
        if (difference > 3.5) wide++;
      });
      // dither and rounding of two pictures; only edge pixels, mixed in codes and not in light, may differ by more
      expect(wide / laid.length).toBeLessThan(0.05);
      expect(worst).toBeLessThan(30);
    }
  });

  it('are opaque in the band, empty on open ground, and black of the shadow’s strength in between', async () => {
    const { film, matte } = disc();
    const { data } = await pixels(film, matte, png());
    const at = (x: number, y: number) => [...data.subarray(4 * (y * SIDE + x), 4 * (y * SIDE + x) + 4)];
    expect(at(24, 32)[3]).toBe(255);
    expect(at(2, 2)).toEqual([0, 0, 0, 0]);
    const white = await pixels(film, undefined, png());
    const [r, g, b, a] = at(44, 32);
    expect(Math.max(r, g, b)).toBeLessThan(6);
    expect(Math.abs(255 - a - white.data[3 * (32 * SIDE + 44)])).toBeLessThan(2);
  });

  it('leave JPEG and thumbnails on white, carry the profile, and give equal bytes again', async () => {
    const { film, matte } = disc();
    const outputs: ImageOutput[] = [
      { format: 'webp', widths: [SIDE], quality: 90 },
      { format: 'jpeg', widths: [SIDE], quality: 90 },
    ];
    const images = await encodePictures(film, outputs, { white: WHITE, matte });
    const alpha = await Promise.all(images.map(async (i) => (await sharp(i.data).metadata()).hasAlpha));
    expect(images.map((i) => i.role)).toEqual(['picture', 'picture', 'thumbnail']);
    expect(alpha).toEqual([true, false, false]);
    expect((await sharp(images[0].data).metadata()).icc).toBeDefined();
    const again = await encodePictures(film, outputs, { white: WHITE, matte });
    expect(again.map((i) => i.sha256)).toEqual(images.map((i) => i.sha256));
  });

  it('refuse a matte of another size', async () => {
    const { film } = disc();
    const matte = { width: 1, height: 1, data: new Float32Array(3) };
    await expect(encodePictures(film, [png()], { white: WHITE, matte })).rejects.toThrow(RangeError);
  });
});
