import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { PROVEN } from '../../pipeline/run/proven-files.ts';
import { config, inMemory } from '../plan/workspace.ts';
import { radiancePicture } from '../scene/radiance-picture.ts';

const SKY = radiancePicture(64, 32, () => [0.5, 0.5, 0.5]);
const LOGO = await sharp({ create: { width: 300, height: 200, channels: 3, background: '#123' } })
  .png({ compressionLevel: 0 })
  .toBuffer();

async function problems(text: string, files: Record<string, string | Uint8Array>) {
  try {
    await readPlan('/workspace/config.yaml', inMemory({ ...files, 'config.yaml': text }, PROVEN.prove));
    return [];
  } catch (error) {
    if (error instanceof ProblemError) return [...error.problems];
    throw error;
  }
}

describe('pictures that a plan names are decoded when it is read', () => {
  const sky = config({
    lights: 'lights: open',
    studios: 'studios: { open: { like: dusk, sky: { image: a.hdr } } }',
  });

  it.each([
    ['half of it', SKY.subarray(0, SKY.length / 2), /cut off: \d+ of 2048 pixels/],
    ['no pixels', SKY.subarray(0, SKY.length - 64 * 32 * 4), /cut off: 0 of 2048/],
    ['nothing but black', radiancePicture(64, 32, () => [0, 0, 0]), /light/],
    ['the wrong form', radiancePicture(32, 32, () => [1, 1, 1]), /twice as wide/],
  ])('a sky of which there is %s', async (_what, bytes, received) => {
    const found = await problems(sky, { 'a.hdr': bytes });
    expect(found).toMatchObject([{ code: 'unreadable-sky', place: { line: 9 } }]);
    expect(found[0].received).toMatch(received);
  });

  it.each([
    ['watermark: { image: a.png }', 'watermark.image'],
    ['workshop: { name: Bench, logo: a.png }', 'workshop.logo'],
    [
      'outputs: { images: [{ format: webp, widths: [400], watermark: { image: a.png } }] }',
      'outputs.images[0].watermark.image',
    ],
    ['watermark: { text: 指輪 }', 'watermark.text'],
  ])('a logo that is torn: %s', async (line, path) => {
    const text = config({ [line.split(':')[0]]: line });
    const found = await problems(text, { 'a.png': LOGO.subarray(0, LOGO.length / 2) });
    expect(found).toMatchObject([{ path, place: { file: '/workspace/config.yaml' } }]);
    expect(found[0].advice).not.toBe('');
  });

  it('and sound ones are taken', async () => {
    expect(await problems(sky, { 'a.hdr': SKY })).toEqual([]);
    expect(await problems(config({ watermark: 'watermark: { image: a.png }' }), { 'a.png': LOGO })).toEqual(
      [],
    );
  });
});
