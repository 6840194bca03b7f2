/** Sheets of swatches as something to hand out: letters of one size, all words there, as PNG and PDF. */
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { pdfSheet } from '../../pipeline/picture/pdf-sheet.ts';
import { layOut, SHEET_DPI } from '../../pipeline/picture/swatch-sheet.ts';
import { xmpPacket } from '../../pipeline/picture/xmp.ts';
import { getDocument } from '../pdf-document.ts';

const LINES = [
  '18 carat yellow gold (750)',
  'sRGB #f3d29b, Lab 86 3 33, not measured',
  'Frosted, polished',
  'Laboratory-grown diamond',
];
const swatch = (width: number) => ({
  cell: { width, height: width, data: new Uint8Array(3 * width * width).fill(200) },
  caption: 'Yellow and white *',
  lines: LINES,
});

/** Heights of rows of ink under the swatches, top to bottom: each line of letters is one. */
async function inkRows(
  { width, height, data }: { width: number; height: number; data: Uint8Array },
  from: number,
) {
  const rows: number[] = [];
  let run = 0;
  for (let y = from; y < height; y++) {
    let dark = false;
    for (let x = 0; x < width; x++) if (data[3 * (y * width + x)] < 120) dark = true;
    if (dark) run++;
    else if (run > 0) {
      rows.push(run);
      run = 0;
    }
  }
  return rows;
}

describe('a sheet', () => {
  it('has letters of one size however narrow its swatches and however many columns', async () => {
    for (const [width, columns] of [
      [200, 1],
      [200, 6],
      [700, 2],
    ]) {
      const sheet = await layOut(
        Array.from({ length: columns }, () => swatch(width)),
        columns,
        {},
      );
      const rows = await inkRows(sheet, Math.round(0.06 * Math.max(width, 402)) + width + 1);
      // capitals of at least 1.2 mm, as of print of 5 points and more (common practice for captions)
      const tallest = Math.max(...rows);
      expect((tallest / SHEET_DPI) * 25.4, `${width} px in ${columns}`).toBeGreaterThan(1.2);
      expect(rows.length).toBeGreaterThanOrEqual(LINES.length + 1);
    }
  });

  it('begins with its title, workshop and logo', async () => {
    const logo = await sharp({ create: { width: 90, height: 40, channels: 3, background: '#102030' } })
      .png()
      .toBuffer();
    const plain = await layOut([swatch(500), swatch(500)], 2, {});
    const head = {
      title: 'Rings: Three-quarter view',
      workshop: 'Workshop',
      logo: { data: logo, width: 90, height: 40 },
    };
    const sheet = await layOut([swatch(500), swatch(500)], 2, { head });
    expect(sheet.height).toBeGreaterThan(plain.height);
    const at = (x: number, y: number) => [
      ...sheet.data.subarray(3 * (y * sheet.width + x), 3 * (y * sheet.width + x) + 3),
    ];
    const gap = Math.round(0.06 * 500);
    expect(at(sheet.width - gap - 5, gap + 5)).toEqual([0x10, 0x20, 0x30]);
  });
});

describe('its PDF', () => {
  it('has the printed size, words that can be read out, alternative text, language and XMP', async () => {
    const picture = await sharp({ create: { width: 600, height: 300, channels: 3, background: '#fff' } })
      .png()
      .toBuffer();
    const credit = { source: 'digitalCreation' as const, creator: 'Bench' };
    const xmp = xmpPacket({ title: 'Größe & Form', alt: 'Two swatches', credit });
    const words = ['Gelbgold (750)', 'nicht gemessen – “x”', ...LINES];
    const order = {
      picture,
      dpi: SHEET_DPI,
      title: 'Größe & Form',
      alt: 'Two swatches',
      language: 'de-DE',
      words,
      xmp,
    };
    const made = await pdfSheet(order);
    expect(Buffer.from(await pdfSheet(order)).equals(made)).toBe(true);
    const pdf = await getDocument({ data: new Uint8Array(made), verbosity: 0 }).promise;
    const page = await pdf.getPage(1);
    // 600 px at 300 dpi are 2 inches, 144 points
    expect(page.view).toEqual([0, 0, 144, 72]);
    const text = (await page.getTextContent()).items.map((i) => ('str' in i ? i.str : '')).join('\n');
    for (const word of words) expect(text).toContain(word);
    const { info, metadata } = await pdf.getMetadata();
    expect((info as { Title: string; Language: string }).Title).toBe('Größe & Form');
    expect((info as { Language: string }).Language).toBe('de-DE');
    expect(metadata.get('dc:title')).toBe('Größe & Form');
    const tree = JSON.stringify(await page.getStructTree());
    expect(tree).toContain('Two swatches');
    expect(await pdf.getMarkInfo()).toMatchObject({ Marked: true });
    await pdf.destroy();
  });
});
