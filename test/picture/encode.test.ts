import { createHash } from 'node:crypto';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { developFilm, PAPER_WHITE, resizePicture } from '../../pipeline/picture/develop.ts';
import { encodePictures } from '../../pipeline/picture/encode.ts';
import { decodeSrgb } from '../../pipeline/picture/srgb.ts';
import type { Film } from '../../pipeline/tracer/tracer.ts';
import { readColorant, readIccProfile } from './icc-profile.ts';

function film(width: number, height: number, at: (x: number, y: number) => [number, number, number]): Film {
  const data = new Float32Array(width * height * 3);
  for (let y = 0; y < height; y++) for (let x = 0; x < width; x++) data.set(at(x, y), 3 * (y * width + x));
  return { width, height, data };
}

/** Numbers of the first directory of a little-endian TIFF, by tag: shorts and rationals. */
function tiffTags(bytes: Buffer): Record<number, number> {
  expect(bytes.toString('latin1', 0, 2)).toBe('II');
  const at = bytes.readUInt32LE(4);
  const tags: Record<number, number> = {};
  for (let i = 0; i < bytes.readUInt16LE(at); i++) {
    const entry = at + 2 + 12 * i;
    const [tag, type, value] = [0, 2, 8].map((k) =>
      k < 8 ? bytes.readUInt16LE(entry + k) : bytes.readUInt32LE(entry + k),
    );
    if (type === 3) tags[tag] = bytes.readUInt16LE(entry + 8);
    if (type === 5) tags[tag] = bytes.readUInt32LE(value) / bytes.readUInt32LE(value + 4);
  }
  return tags;
}

const disc = film(240, 180, (x, y) => (Math.hypot(x - 120, y - 90) < 60 ? [0.95, 0.7, 0.38] : [1, 1, 1]));
const ALL = [
  { format: 'webp', widths: [200, 100], quality: 85 },
  { format: 'jpeg', widths: [150], quality: 88 },
  { format: 'png', widths: [400, 240, 100], quality: 1 },
] as const;
const outputs = ALL.map((o) => ({ ...o, widths: [...o.widths] }));

describe('picture files', () => {
  it('come in the formats and widths asked for, never enlarged, each with its true size and hash', async () => {
    const images = await encodePictures(disc, outputs);
    expect(images.map((i) => [i.role, i.extension, i.width, i.height])).toEqual([
      ['picture', 'webp', 200, 150],
      ['picture', 'webp', 100, 75],
      ['picture', 'jpg', 150, 113],
      ['picture', 'png', 240, 180],
      ['picture', 'png', 100, 75],
      ['thumbnail', 'webp', 240, 180],
    ]);
    for (const image of images) {
      const found = await sharp(image.data).metadata();
      expect([found.format, found.width, found.height]).toEqual([image.format, image.width, image.height]);
      expect(found.exif).toBeUndefined();
      expect(found.xmp).toBeUndefined();
      expect(image.bytes).toBe(image.data.length);
      expect(image.sha256).toBe(createHash('sha256').update(image.data).digest('hex'));
    }
    const again = await encodePictures(disc, outputs);
    expect(again.map((i) => i.sha256)).toEqual(images.map((i) => i.sha256));
  });

  it('as TIFF are for print: 300 dots to the inch by its own tags (TIFF 6.0, section 8), sRGB, and on no page', async () => {
    const metadata = {
      title: 'A band',
      alt: 'A band on white',
      credit: { source: 'digitalCreation' },
    } as const;
    const tiff = { format: 'tiff', widths: [120], quality: 1 } as const;
    const images = await encodePictures(disc, [{ ...tiff, widths: [120] }], { metadata, thumbnail: false });
    const [{ role, extension, data, width }] = images;
    expect([role, extension, width]).toEqual(['extra', 'tif', 120]);
    const found = await sharp(data).metadata();
    expect([found.format, found.density, found.hasProfile, found.space]).toEqual(['tiff', 300, true, 'srgb']);
    expect(found.xmp?.toString()).toContain('A band');
    const bytes = Buffer.from(data);
    expect(tiffTags(bytes)).toMatchObject({ 282: 300, 283: 300, 296: 2 });
    const back = await sharp(data).raw().toBuffer();
    const [png] = await encodePictures(disc, [{ ...tiff, format: 'png', widths: [120] }], {
      thumbnail: false,
    });
    expect(back.equals(await sharp(png.data).raw().toBuffer())).toBe(true);
  });

  it('carry an sRGB profile: colorants as in the ICC’s sRGB profile, D50', async () => {
    for (const image of await encodePictures(disc, outputs)) {
      const profile = readIccProfile(image.data)!;
      expect(profile.toString('latin1', 36, 40)).toBe('acsp');
      expect(profile.toString('latin1', 16, 20)).toBe('RGB ');
      // sRGB2014.icc, color.org: rXYZ .4361 .2225 .0139, gXYZ .3851 .7169 .0971, bXYZ .1431 .0606 .7139
      const expected = {
        rXYZ: [0.4361, 0.2225, 0.0139],
        gXYZ: [0.3851, 0.7169, 0.0971],
        bXYZ: [0.1431, 0.0606, 0.7139],
      };
      for (const [tag, xyz] of Object.entries(expected)) {
        const found = readColorant(profile, tag)!;
        for (let i = 0; i < 3; i++) expect(found[i]).toBeCloseTo(xyz[i], 2);
      }
    }
  });

  it('show a ground of level 1 as 255 in every format and at awkward widths', async () => {
    const white = film(331, 217, () => [1, 1, 1]);
    const widths = [331, 200, 113, 97];
    const images = await encodePictures(white, [
      { format: 'png', widths, quality: 1 },
      { format: 'jpeg', widths, quality: 80 },
      { format: 'webp', widths, quality: 80 },
    ]);
    for (const image of images) {
      const { data } = await sharp(image.data).raw().toBuffer({ resolveWithObject: true });
      expect(data.every((code) => code === 255)).toBe(true);
    }
  });

  it('take another white level when the scene’s ground has one', async () => {
    const white = film(8, 8, () => [1.5, 1.5, 1.5]);
    const [image] = await encodePictures(white, [{ format: 'png', widths: [8], quality: 1 }], { white: 1.5 });
    expect(Math.min(...(await sharp(image.data).raw().toBuffer()))).toBe(255);
    const [dim] = await encodePictures(
      film(8, 8, () => [1, 1, 1]),
      [{ format: 'png', widths: [8], quality: 1 }],
      { white: 1.5 },
    );
    expect(Math.max(...(await sharp(dim.data).raw().toBuffer()))).toBeLessThan(250);
  });
});

describe('resizing', () => {
  it('adds light, not codes: a black and white chequerboard halves to linear 0.5, sRGB 188', async () => {
    // 255 × sRGB(0.5) = 187.5; a resize of codes would give 127 or 128
    const board = film(256, 256, (x, y) => ((x + y) & 1 ? [1, 1, 1] : [0, 0, 0]));
    const [image] = await encodePictures(board, [{ format: 'png', widths: [64], quality: 1 }]);
    const { data } = await sharp(image.data).raw().toBuffer({ resolveWithObject: true });
    let sum = 0;
    for (const code of data) sum += decodeSrgb(code / 255);
    expect(sum / data.length).toBeCloseTo(0.5, 2);
  });

  it('is the three-lobed Lanczos filter: agrees with a direct sum of its definition', async () => {
    // L(x) = sinc(x) sinc(x/3), |x| < 3, stretched by the reduction (Duchon 1979); 90 → 36, factor 2.5
    const [from, to] = [90, 36];
    const signal = Float32Array.from(
      { length: from },
      (_, i) => 0.3 + 0.1 * Math.sin(i / 3) + (i > 45 ? 0.2 : 0),
    );
    const frame = { width: from, height: 5, data: new Float32Array(from * 5 * 3) };
    for (let y = 0; y < 5; y++)
      for (let x = 0; x < from; x++)
        frame.data.fill(signal[x] * PAPER_WHITE, 3 * (y * from + x), 3 * (y * from + x) + 3);
    const resized = await resizePicture(frame, to);
    const sinc = (x: number) => (x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x));
    for (let x = 8; x < to - 8; x++) {
      const centre = ((x + 0.5) * from) / to - 0.5;
      let sum = 0;
      let weight = 0;
      for (let i = 0; i < from; i++) {
        const d = ((i - centre) * to) / from;
        if (Math.abs(d) >= 3) continue;
        const w = sinc(d) * sinc(d / 3);
        sum += w * signal[i];
        weight += w;
      }
      expect(Math.abs(resized.data[3 * x] / PAPER_WHITE - sum / weight)).toBeLessThan(0.004);
    }
  });

  it('refuses a film whose values do not fill its frame', () => {
    expect(() => developFilm({ width: 4, height: 4, data: new Float32Array(3) })).toThrow(RangeError);
  });
});
