import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Crop, cropBox, cropPicture, fillOfBox } from '../../pipeline/picture/crop.ts';
import { PAPER_WHITE } from '../../pipeline/picture/develop.ts';
import { encodePictures } from '../../pipeline/picture/encode.ts';
import { subjectBounds } from '../../pipeline/picture/subject-bounds.ts';
import type { Film } from '../../pipeline/tracer/tracer.ts';

const film = { width: 1500, height: 1200 };
const aspects = [1, 4 / 5, 16 / 9, 9 / 16, 3 / 2];

const anyCrop = fc.record({
  left: fc.integer({ min: 0, max: 700 }),
  top: fc.integer({ min: 0, max: 600 }),
  width: fc.integer({ min: 60, max: 800 }),
  height: fc.integer({ min: 60, max: 600 }),
  aspect: fc.constantFrom(...aspects),
  fill: fc.double({ min: 0.3, max: 0.95, noNaN: true }),
});

describe('frames', () => {
  it('hold the subject, have their proportions and the fill asked for, on ground that can be carried on', () => {
    fc.assert(
      fc.property(anyCrop, ({ left, top, width, height, aspect, fill }) => {
        const subject = { left, top, right: left + width, bottom: top + height };
        const box = cropBox(film, subject, { aspect, fill: { most: fill, least: fill }, extend: true })!;
        expect(box.left).toBeLessThanOrEqual(subject.left);
        expect(box.right).toBeGreaterThanOrEqual(subject.right);
        expect(box.top).toBeLessThanOrEqual(subject.top);
        expect(box.bottom).toBeGreaterThanOrEqual(subject.bottom);
        const [w, h] = [box.right - box.left, box.bottom - box.top];
        // to the pixel: half a pixel of height, and what half a pixel of width makes of it
        expect(Math.abs(h - w / aspect)).toBeLessThanOrEqual(0.5);
        expect(Math.abs(fillOfBox(box, subject) - fill)).toBeLessThan(0.02);
      }),
    );
  });

  it('stay within the film elsewhere, or are refused rather than cut the subject', () => {
    fc.assert(
      fc.property(anyCrop, ({ left, top, width, height, aspect, fill }) => {
        const subject = { left, top, right: left + width, bottom: top + height };
        const box = cropBox(film, subject, { aspect, fill: { most: fill, least: fill }, extend: false });
        const most = Math.min(film.width, film.height * aspect);
        if (!box) {
          expect(Math.max(width, height * aspect)).toBeGreaterThan(most - 2);
          return;
        }
        expect(Math.min(box.left, box.top)).toBeGreaterThanOrEqual(0);
        expect(box.right).toBeLessThanOrEqual(film.width);
        expect(box.bottom).toBeLessThanOrEqual(film.height);
        expect(box.left).toBeLessThanOrEqual(subject.left);
        expect(box.bottom).toBeGreaterThanOrEqual(subject.bottom);
      }),
    );
  });

  it('with the subject at one side leave the other to text, as far from its edge as from top and bottom', () => {
    const subject = { left: 500, top: 400, right: 900, bottom: 700 };
    const crop = { aspect: 3, fill: { most: 0.8, least: 0.8 }, extend: true };
    const boxes = (['left', undefined, 'right'] as const).map(
      (align) => cropBox(film, subject, { ...crop, align })!,
    );
    const [left, middle, right] = boxes;
    // 300 px of band are 80 % of 375 px, which leaves 37.5 px above and below; 1125 px wide
    for (const box of boxes) expect([box.right - box.left, box.bottom - box.top]).toEqual([1125, 375]);
    expect(Math.abs(500 - left.left - 37.5)).toBeLessThanOrEqual(1);
    expect(Math.abs(right.right - 900 - 37.5)).toBeLessThanOrEqual(1);
    expect(Math.abs((middle.left + middle.right) / 2 - 700)).toBeLessThanOrEqual(0.5);
    // within the film there is no such room to the left of this band: refused, not moved aside
    expect(cropBox(film, subject, { ...crop, align: 'right', extend: false })).toBeUndefined();
    expect(cropBox(film, subject, { ...crop, align: 'left', extend: false })).toBeUndefined();
    const narrow = { ...crop, aspect: 2, fill: { most: 0.6, least: 0.6 }, extend: false };
    expect(
      cropBox(film, { ...subject, left: 250, right: 650 }, { ...narrow, align: 'left' })?.left,
    ).toBeGreaterThan(0);
  });

  it('widen down to the least fill to reach the width that is wanted, and no further', () => {
    const crop: Crop = { aspect: 1, fill: { most: 0.84, least: 0.76 }, wanted: 1500, extend: true };
    const width = (side: number) => {
      const box = cropBox(film, { left: 100, top: 100, right: 100 + side, bottom: 200 }, crop)!;
      return box.right - box.left;
    };
    expect(width(1000)).toBe(Math.round(1000 / 0.76));
    expect(width(1200)).toBe(1500);
    expect(width(1300)).toBe(Math.round(1300 / 0.84));
  });

  it('carry white ground on without a seam where a soft shadow reaches the film’s edge', () => {
    const [w, h] = [200, 200];
    const data = new Float32Array(3 * w * h);
    // a shadow that deepens to 10 % at the lower edge
    for (let y = 0; y < h; y++) data.fill(PAPER_WHITE * (1 - (0.1 * y) / h), 3 * y * w, 3 * (y + 1) * w);
    const ground = [PAPER_WHITE, PAPER_WHITE, PAPER_WHITE] as const;
    const out = cropPicture(
      { width: w, height: h, data },
      { left: -40, top: 0, right: 240, bottom: 280 },
      ground,
    );
    for (let y = 1; y < out.height; y++) {
      const [above, here] = [y - 1, y].map((r) => out.data[3 * (r * out.width + 140)]);
      // steepest slope of a smoothstep over n px is 1.5 ∕ n of its rise
      expect(Math.abs(here - above) / PAPER_WHITE).toBeLessThan((1.6 * 0.1) / (0.1 * 200));
    }
    expect(out.data[3 * 279 * 280]).toBe(PAPER_WHITE);
    const inside = out.data[3 * (100 * out.width + 140)];
    expect(inside).toBe(data[3 * (100 * w + 100)]);
  });
});

it('grain at the film’s edge draws no streaks into the ground that is carried on', () => {
  const [w, h] = [240, 240];
  let state = 7;
  // Park–Miller minimal standard generator (Comm. ACM 31(10), 1988)
  const random = () => {
    state = (state * 16807) % 2147483647;
    return state / 2147483647 - 0.5;
  };
  const level = 0.95 * PAPER_WHITE;
  const data = Float32Array.from({ length: 3 * w * h }, () => level + 0.02 * random());
  const box = { left: -30, top: -30, right: w + 30, bottom: h + 30 };
  const out = cropPicture({ width: w, height: h, data }, box, [level, level, level]);
  const spread = (at: (i: number) => number) => {
    const values = Array.from({ length: 180 }, (_, i) => out.data[3 * at(i + 60)] - level);
    return Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / values.length);
  };
  const own = 0.02 / Math.sqrt(12);
  // 8 px beyond either kind of edge, where a third of it is bare ground: of 17 values a fourth of their grain is left
  expect(spread((i) => 21 * out.width + i)).toBeLessThan(own / 4);
  expect(spread((i) => i * out.width + w + 37)).toBeLessThan(own / 4);
  expect(spread((i) => 100 * out.width + i)).toBeGreaterThan(own * 0.8);
});

/** A dark ellipse on white, off the middle. */
function ellipse(): Film {
  const [width, height] = [240, 240];
  const data = new Float32Array(3 * width * height).fill(1);
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++)
      if (((x - 130) / 90) ** 2 + ((y - 110) / 50) ** 2 < 1)
        data.fill(0.1, 3 * (y * width + x), 3 * (y * width + x) + 3);
  return { width, height, data };
}

describe('framed pictures', () => {
  const square = { name: 'square', aspect: [1, 1] as [number, number], fill: 0.8 };
  const wide = { name: 'wide', aspect: [16, 9] as [number, number], fill: 0.8 };

  it('are cut from one film beside the whole one, in every format, never enlarged', async () => {
    const images = await encodePictures(
      ellipse(),
      [
        { format: 'png', widths: [240], quality: 80 },
        ...(['avif', 'webp', 'jpeg', 'png'] as const).flatMap((format) =>
          [square, wide].map((frame) => ({ format, widths: [4000, 100], quality: 80, frame })),
        ),
      ],
      { extend: true, thumbnail: false },
    );
    expect(images.map((i) => [i.role, i.frame, i.width, i.height]).slice(0, 5)).toEqual([
      ['picture', undefined, 240, 240],
      ['extra', 'square', 224, 224],
      ['extra', 'square', 100, 100],
      ['extra', 'wide', 224, 126],
      ['extra', 'wide', 100, 56],
    ]);
    expect(images).toHaveLength(1 + 4 * 4);
    for (const image of images.slice(1)) expect(image.fill).toBeCloseTo(0.8, 2);
  });

  it('measure what they promise: feed pictures fill 75 to 90 % (support.google.com/merchants/answer/6324350)', async () => {
    const frame = { aspect: [1, 1] as [number, number], fill: 0.84, leastFill: 0.76, orWhole: true as const };
    const sharp = (await import('sharp')).default;
    const output = { name: 'feed', format: 'png' as const, widths: [230], quality: 90, frame };
    const [image] = await encodePictures(ellipse(), [output], { extend: true, thumbnail: false });
    const { data, info } = await sharp(image.data).raw().toBuffer({ resolveWithObject: true });
    const b = subjectBounds({
      width: info.width,
      height: info.height,
      data: Float32Array.from(data, (v) => (v / 255) ** 2.2 * PAPER_WHITE),
    })!;
    const fill = Math.max(b.right - b.left, b.bottom - b.top) / info.width;
    expect(fill).toBeGreaterThan(0.75);
    expect(fill).toBeLessThan(0.9);
    expect(fill).toBeCloseTo(image.fill, 1);
    expect([info.width, info.height]).toEqual([230, 230]);
  });

  it('are refused, and said to be, where the ground cannot be carried on', async () => {
    const refused: unknown[] = [];
    const tall = { name: 'tall', aspect: [1, 4] as [number, number], fill: 0.8 };
    const images = await encodePictures(
      ellipse(),
      [
        { format: 'png', widths: [100], quality: 80, frame: tall },
        { format: 'png', widths: [100], quality: 80, frame: { ...tall, name: undefined, orWhole: true } },
      ],
      { thumbnail: false, onRefused: (o) => refused.push(o.frame?.name) },
    );
    expect(refused).toEqual(['tall']);
    expect(images.map((i) => [i.width, i.height])).toEqual([[100, 100]]);
  });
});
