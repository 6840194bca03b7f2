import { describe, expect, it } from 'vitest';
import { patternName } from '../../pipeline/plan/file-pattern.ts';
import { config, planOf, problemsOf } from './workspace.ts';

const outputs = (frames: string, images: string, files = '') =>
  config({
    outputs: `outputs:
  frames: ${frames}
  ${files && `files: "${files}"`}
  images: ${images}`,
  });

const FRAMES = '{ square: 1:1, portrait: { aspect: 4:5, fill: 70 % } }';
const IMAGES = '[{ format: webp, widths: [600, 300], frames: [full, square, portrait] }]';

describe('outputs.frames', () => {
  it('make an output for each frame that an image output names', async () => {
    const { plan } = await planOf(outputs(FRAMES, IMAGES));
    expect(plan.images.map((i) => i.frame)).toEqual([
      undefined,
      { name: 'square', aspect: [1, 1], fill: 0.82 },
      { name: 'portrait', aspect: [4, 5], fill: 0.7 },
    ]);
  });

  it.each([
    [
      '{ square: 1:1 }',
      '[{ format: webp, widths: [600] }, { format: webp, widths: [300], frames: [sqare] }]',
      'unknown-frame',
      'outputs.images[1].frames[0]',
    ],
    [
      '{ square: 1:1 }',
      '[{ format: webp, widths: [600], frames: [square] }]',
      'no-catalogue-picture',
      'outputs.images',
    ],
    [
      '{ square: 1:1 }',
      '[{ format: webp, widths: [600], frames: [full, square] }, { format: webp, widths: [600], name: square }]',
      'image-outputs-alike',
      'outputs.images[1]',
    ],
  ])('%s with %s is refused as %s', async (frames, images, code, path) => {
    expect((await problemsOf(outputs(frames, images))).map((p) => [p.code, p.path])).toEqual([[code, path]]);
  });

  it.each(['1:9', '0:1', 'square', '4/5', '-1:1'])('refuses the proportions %s', async (aspect) => {
    expect(
      await problemsOf(outputs(`{ odd: "${aspect}" }`, IMAGES.replace(', square, portrait', ''))),
    ).toHaveLength(1);
  });
});

describe('outputs.files', () => {
  it('names pictures', async () => {
    const { plan } = await planOf(outputs(FRAMES, IMAGES, '{shot}.{frame}_{width}'));
    expect(plan.filePattern).toBe('{shot}.{frame}_{width}');
    expect(
      patternName('{sku}-{shot}-{output}-{frame}-{width}', { sku: 'A', shot: 'front', width: 600 }),
    ).toBe('A-front-main-full-600');
  });

  it.each([
    ['{sku}-{shot}-{frame}', 'file-names-alike'], // two widths
    ['{sku}-{shot}-{width}', 'file-names-alike'], // frames of one width
    ['{sku}-{frame}-{width}', 'file-names-alike'], // two shots
    ['../{sku}-{shot}-{frame}-{width}', 'unsafe-file-name'],
    ['{sku}/{shot}-{frame}-{width}', 'unsafe-file-name'],
    ['-{sku}-{shot}-{frame}-{width}', 'unsafe-file-name'],
    ['{sku}-{shot}{frame}-{width}', 'unsafe-file-name'],
    ['{sku}-{shot}-{frame}-{with}', 'unknown-field'],
  ])('refuses %s: %s', async (pattern, code) => {
    const problems = await problemsOf(outputs(FRAMES, IMAGES, pattern));
    expect(problems.map((p) => [p.code, p.path])).toEqual([[code, 'outputs.files']]);
  });
});
