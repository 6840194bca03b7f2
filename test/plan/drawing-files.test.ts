import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { config, planOf, problemsOf } from './workspace.ts';

const CONFIG = (overrides: string) =>
  config({
    template: 'template: plain-court',
    overrides: `overrides: ${overrides}`,
    grid: 'grid: { size: [ISO 54] }',
    shots: 'shots: [front]',
  });
const HAND = CONFIG('{ engraving: { inside: { drawing: ./art/hand.svg, height: 1.5 mm } } }');
const svg = (inner: string) =>
  `<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9">${inner}</svg>`;

describe('drawings that are named as files', () => {
  it('stand in designs as their paths, so that a file by another name changes nothing and other strokes do', async () => {
    const drawn = async (text: string, name: string, content: string) =>
      Object.entries((await planOf(text, { [name]: content })).plan.shapes)[0];
    const file = svg('<!-- <rect/> --><path fill="none" d="M0 0H4V4H0Z"/><path d="M6 0H9V4H6Z"/>');
    const [key, design] = await drawn(HAND, 'art/hand.svg', file);
    expect(design.engraving?.inside).toMatchObject({ drawing: 'M0 0H4V4H0Z M6 0H9V4H6Z', text: 'SVG' });
    const [other] = await drawn(HAND.replace('hand', 'ours'), 'art/ours.svg', file);
    expect(other).toBe(key);
    const [third] = await drawn(HAND, 'art/hand.svg', svg('<path d="M0 0H4V4H0Z"/>'));
    expect(third).not.toBe(key);
    // written out in place it is the same
    const written = CONFIG('{ engraving: { inside: { drawing: M0 0H4V4H0Z, height: 1.5 mm } } }');
    expect(Object.keys((await planOf(written)).plan.shapes)[0]).toBe(third);
  });

  it.each([
    [undefined, 'hand.svg: '],
    [svg('<rect width="3" height="3"/>'), '<rect>'],
    [svg('<g transform="scale(2)"><path d="M0 0H4V4Z"/></g>'), 'a transform'],
    [svg(''), 'no path'],
    ['hello', 'no SVG'],
  ])('that cannot be used are refused with line and column: %j', async (content, received) => {
    const problems = await problemsOf(HAND, content === undefined ? {} : { 'art/hand.svg': content });
    expect(problems[0]).toMatchObject({
      code: 'unreadable-drawing',
      path: 'overrides.engraving.inside.drawing',
      place: { line: HAND.split('\n').findIndex((l) => l.startsWith('overrides')) + 1 },
    });
    expect(problems[0].received).toContain(received);
  });

  it('of a motif must be there, with a height', async () => {
    const motif = CONFIG('{ lanes: { band: { texture: { pattern: motif, height: 2 mm } } } }');
    expect((await problemsOf(motif))[0]).toMatchObject({
      path: 'lanes.band.texture',
      expected: 'a drawing and its height for the pattern "motif"',
    });
  });
});

const PICTURE = CONFIG(
  '{ lanes: { band: { texture: { pattern: picture, picture: ./art/map.png, height: 2 mm } } } }',
);
/** A picture of 20 × 10 pixels, its left half of one grey and its right half of another. */
const halves = (left: number, right: number) =>
  sharp(
    Uint8Array.from({ length: 200 }, (_, i) => (i % 20 < 10 ? left : right)),
    { raw: { width: 20, height: 10, channels: 1 } },
  );
const textureOf = async (file: Uint8Array, name = 'art/map.png', text = PICTURE) => {
  const { plan } = await planOf(text, { [name]: file });
  return Object.values(plan.shapes)[0].lanes[0].texture!;
};
const darkOf = (grey: string) => [...Buffer.from(grey.split(' ')[2], 'base64')];

describe('pictures that are named as files', () => {
  it('stand in designs as their darkness, whatever the file’s name and format, what shows through being white', async () => {
    const texture = await textureOf(await halves(255, 51).png().toBuffer());
    expect(texture).toMatchObject({ pattern: 'picture', depthMm: 0.15, sizeMm: 4 });
    expect(texture.picture).toMatchObject({ heightMm: 2, raised: false, seamless: true });
    const dark = darkOf(texture.picture!.grey);
    expect(texture.picture!.grey).toMatch(/^grey 20x10 /);
    expect(dark).toHaveLength(200);
    expect([dark[0], dark[9], dark[10], dark[19]]).toEqual([0, 0, 204, 204]);
    const named = PICTURE.replace('map.png', 'sea.PNG');
    const again = await textureOf(await halves(255, 51).png().toBuffer(), 'art/sea.PNG', named);
    expect(again).toEqual(texture);
    // black, and clear but for a fifth
    const clear = await sharp(
      Uint8Array.from({ length: 800 }, (_, i) => (i % 4 === 3 ? 51 : 0)),
      {
        raw: { width: 20, height: 10, channels: 4 },
      },
    )
      .png()
      .toBuffer();
    expect(darkOf((await textureOf(clear)).picture!.grey)[0]).toBe(51);
    const jpeg = PICTURE.replace('map.png', 'map.jpg');
    const lossy = darkOf(
      (await textureOf(await halves(255, 51).jpeg({ quality: 100 }).toBuffer(), 'art/map.jpg', jpeg)).picture!
        .grey,
    );
    expect(Math.abs(lossy[15] - 204)).toBeLessThan(8);
  });

  it('are kept no finer than a lane can show', async () => {
    const large = await halves(255, 0).resize(2000, 1000, { kernel: 'nearest' }).png().toBuffer();
    const [, columns, rows] = /^grey (\d+)x(\d+)/.exec((await textureOf(large)).picture!.grey)!.map(Number);
    expect(columns * rows).toBeLessThan(66_000);
    expect(columns / rows).toBeCloseTo(2, 1);
  });

  it('that cannot be used are refused with line and column', async () => {
    const white = await halves(255, 250).png().toBuffer();
    const gif = await halves(255, 0).gif().toBuffer();
    for (const [content, received] of [
      [undefined, 'map.png: '],
      [new TextEncoder().encode('hello'), 'unsupported image format'],
      [white, 'without dark places'],
      [gif, 'the format gif'],
    ] as const) {
      const problems = await problemsOf(PICTURE, content === undefined ? {} : { 'art/map.png': content });
      expect(problems[0]).toMatchObject({
        code: 'unreadable-picture',
        path: 'overrides.lanes.band.texture.picture',
        place: { line: PICTURE.split('\n').findIndex((l) => l.startsWith('overrides')) + 1 },
      });
      expect(problems[0].received).toContain(received);
    }
    const svgNamed = await problemsOf(PICTURE.replace('map.png', 'map.svg'));
    expect(svgNamed[0]).toMatchObject({ expected: 'a PNG or JPEG file beside this one' });
    const bare = CONFIG('{ lanes: { band: { texture: { pattern: picture, height: 2 mm } } } }');
    expect((await problemsOf(bare))[0].expected).toBe('a picture and its height for the pattern "picture"');
  });
});
