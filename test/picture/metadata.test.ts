import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { encodePictures } from '../../pipeline/picture/encode.ts';
import { loadWatermark } from '../../pipeline/picture/watermark.ts';
import { xmpPacket } from '../../pipeline/picture/xmp.ts';
import type { WatermarkPlan } from '../../pipeline/plan/plan.ts';
import { readColorant } from './icc-profile.ts';
import { readAvifProfile, readXmpPacket } from './xmp-packet.ts';

const SIZE = 96;
const film = {
  width: SIZE,
  height: SIZE,
  data: Float32Array.from({ length: SIZE * SIZE * 3 }, (_, i) => {
    const p = Math.floor(i / 3);
    return Math.hypot((p % SIZE) - 48, Math.floor(p / SIZE) - 48) < 30 ? [0.95, 0.7, 0.38][i % 3] : 1;
  }),
};
const metadata = {
  title: 'Rosé & "weiß" <18>',
  alt: 'View from above of a wedding band: 18 carat rose gold (750), size ISO 54, 5 mm wide.',
  credit: {
    creator: 'Sample bench',
    copyright: '© Sample bench',
    line: 'Sample bench / pictures',
    website: 'https://example.com/terms?a=1&b=2',
    source: 'digitalCreation',
  },
} as const;
const FORMATS = ['avif', 'webp', 'jpeg', 'png'] as const;
const outputs = FORMATS.map((format) => ({ format, widths: [96], quality: 80 }));

/** Text of an element, with entities resolved (XML 1.0, 4.6). */
function textOf(packet: string, name: string): string | undefined {
  const inner = new RegExp(`<${name}>(?:<rdf:(?:Alt|Seq)><rdf:li[^>]*>)?([^<]*)`).exec(packet)?.[1];
  const entities: Record<string, string> = { amp: '&', lt: '<', gt: '>', quot: '"' };
  return inner?.replace(/&(\w+);/g, (_, e: string) => entities[e]);
}

describe('metadata in picture files', () => {
  it('stands in every format where its specification puts it, and says what was given', async () => {
    const images = await encodePictures(film, outputs, { metadata });
    expect(images.map((i) => i.format)).toEqual([...FORMATS, 'webp']);
    for (const { data, format } of images) {
      const packet = readXmpPacket(data)!;
      expect(packet, format).toBe((await sharp(data).metadata()).xmp!.toString('utf8'));
      // names: Dublin Core, XMP part 1 (ISO 16684-1), IPTC Photo Metadata Standard 2021.1 and later
      expect(textOf(packet, 'dc:title')).toBe(metadata.title);
      expect(textOf(packet, 'dc:creator')).toBe('Sample bench');
      expect(textOf(packet, 'dc:rights')).toBe('© Sample bench');
      expect(textOf(packet, 'xmpRights:Marked')).toBe('True');
      expect(textOf(packet, 'xmpRights:WebStatement')).toBe(metadata.credit.website);
      expect(textOf(packet, 'photoshop:Credit')).toBe('Sample bench / pictures');
      expect(textOf(packet, 'Iptc4xmpCore:AltTextAccessibility')).toBe(metadata.alt);
      // cv.iptc.org/newscodes/digitalsourcetype: current code for what people make with non-generative tools
      expect(textOf(packet, 'Iptc4xmpExt:DigitalSourceType')).toBe(
        'http://cv.iptc.org/newscodes/digitalsourcetype/digitalCreation',
      );
    }
  });

  it.skipIf(spawnSync('exiftool', ['-ver']).status !== 0)(
    'is read by exiftool as it was given (skipped without exiftool)',
    async () => {
      const folder = mkdtempSync(join(tmpdir(), 'bandwright-exiftool-'));
      const images = await encodePictures(film, outputs, { metadata });
      for (const [i, { data, extension }] of images.entries())
        writeFileSync(join(folder, `${i}.${extension}`), data);
      const { stdout, stderr } = spawnSync('exiftool', ['-json', '-n', '-G1', folder], { encoding: 'utf8' });
      rmSync(folder, { recursive: true, force: true });
      const read = JSON.parse(stdout) as Record<string, unknown>[];
      expect(stderr).not.toMatch(/error|warning/i);
      expect(read).toHaveLength(images.length);
      for (const tags of read)
        expect(tags).toMatchObject({
          'XMP-dc:Title': metadata.title,
          'XMP-dc:Creator': metadata.credit.creator,
          'XMP-dc:Rights': metadata.credit.copyright,
          'XMP-photoshop:Credit': metadata.credit.line,
          'XMP-xmpRights:WebStatement': metadata.credit.website,
          'XMP-iptcCore:AltTextAccessibility': metadata.alt,
          'XMP-iptcExt:DigitalSourceType': 'http://cv.iptc.org/newscodes/digitalsourcetype/digitalCreation',
        });
    },
  );

  it('leaves bytes the same from run to run, and pixels as without metadata', async () => {
    const [first, again, bare] = [
      await encodePictures(film, outputs, { metadata }),
      await encodePictures(film, outputs, { metadata }),
      await encodePictures(film, outputs),
    ];
    expect(again.map((i) => i.sha256)).toEqual(first.map((i) => i.sha256));
    for (const [i, image] of first.entries()) {
      const pixels = async (data: Uint8Array) => sharp(data).raw().toBuffer();
      expect((await pixels(image.data)).equals(await pixels(bare[i].data)), image.format).toBe(true);
      expect((await sharp(image.data).metadata()).icc, image.format).toBeDefined();
    }
  });

  it('claims nothing that the config does not: without a credit only title, text and source', () => {
    const packet = xmpPacket({ title: 'T', alt: 'A', credit: { source: 'algorithmicMedia' } });
    expect(packet).not.toMatch(/dc:creator|dc:rights|xmpRights:\w+>|photoshop:Credit/);
    expect(textOf(packet, 'Iptc4xmpExt:DigitalSourceType')).toMatch(/\/algorithmicMedia$/);
    // XML 1.0, 2.2: control characters cannot be written at all
    expect(xmpPacket({ title: 'a\u0001b', alt: '', credit: { source: 'algorithmicMedia' } })).toContain(
      '>ab<',
    );
  });
});

describe('AVIF', () => {
  it('carries the sRGB profile and keeps colours within what its quality allows', async () => {
    const [image] = await encodePictures(film, [{ format: 'avif', widths: [96], quality: 90 }], { metadata });
    const found = await sharp(image.data).metadata();
    expect([found.format, found.compression, found.width, image.extension]).toEqual([
      'heif',
      'av1',
      96,
      'avif',
    ]);
    const profile = readAvifProfile(Buffer.from(image.data))!;
    // sRGB2014.icc, color.org
    expect(readColorant(profile, 'rXYZ')![0]).toBeCloseTo(0.4361, 2);
    const [png] = await encodePictures(film, [{ format: 'png', widths: [96], quality: 1 }]);
    const [a, b] = [await sharp(image.data).raw().toBuffer(), await sharp(png.data).raw().toBuffer()];
    const error = a.reduce((sum, code, i) => sum + (code - b[i]) ** 2, 0) / a.length;
    // 38 dB: visually the same (common practice)
    expect(10 * Math.log10(255 ** 2 / error)).toBeGreaterThan(38);
  });
});

describe('watermarks of single outputs', () => {
  it('can be switched off or be their own', async () => {
    const plan = (text: string, anchor: WatermarkPlan['anchor']): WatermarkPlan => ({
      text,
      size: 0.3,
      anchor,
      margin: 0.02,
      opacity: 1,
    });
    const own = plan('OWN', 'top-left');
    const png = { format: 'png', widths: [96], quality: 1 } as const;
    const outputs = [
      { ...png, widths: [96] },
      { ...png, name: 'bare', widths: [96], watermark: false as const },
      { ...png, name: 'own', widths: [96], watermark: own },
    ];
    const options = {
      watermark: await loadWatermark(plan('ALL', 'bottom-right')),
      ownWatermarks: new Map([[own, await loadWatermark(own)]]),
    };
    const images = await encodePictures(film, outputs, options);
    expect(images.map((i) => [i.role, i.name])).toEqual([
      ['picture', undefined],
      ['extra', 'bare'],
      ['extra', 'own'],
      ['thumbnail', undefined],
    ]);
    const inked = async (data: Uint8Array, left: number, top: number) => {
      const codes = await sharp(data).extract({ left, top, width: 32, height: 16 }).raw().toBuffer();
      return codes.some((c) => c < 128);
    };
    const marks = await Promise.all(
      images.slice(0, 3).map(async ({ data }) => [await inked(data, 0, 0), await inked(data, 62, 78)]),
    );
    expect(marks).toEqual([
      [false, true],
      [false, false],
      [true, false],
    ]);
    await expect(encodePictures(film, outputs, { watermark: options.watermark })).rejects.toThrow(RangeError);
  });
});
