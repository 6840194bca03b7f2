/** The measure of grain, against CIEDE2000 of a reference library on flat films and against a film itself. */
import Color from 'colorjs.io';
import { expect, it } from 'vitest';
import { developFilm, PAPER_WHITE } from '../../pipeline/picture/develop.ts';
import { WHITE_LEVEL } from '../../pipeline/scene/ground.ts';
import { cleanErrors } from './clean-error.ts';
import { CROP } from './clean-scenes.ts';

const flat = (rgb: readonly number[]) => Float32Array.from({ length: CROP * CROP * 3 }, (_, i) => rgb[i % 3]);
const classes = Uint8Array.from({ length: CROP * CROP }, (_, p) => p % 3);

it('finds nothing between a film and itself', () => {
  const film = flat([0.3, 0.5, 0.2]);
  const { ground, metal, stone, ssim } = cleanErrors([film], [film], classes);
  for (const part of [ground, metal, stone]) expect(part).toMatchObject({ deltaE: 0, over: 0, blocks: 0 });
  expect(ssim).toBeCloseTo(1, 9);
});

it('is CIEDE2000 of what the display shows, pixel by pixel and by blocks (colorjs.io)', () => {
  const [a, b] = [
    [0.3, 0.5, 0.2],
    [0.36, 0.44, 0.2],
  ].map(flat);
  const shown = (film: Float32Array) => {
    const { data } = developFilm({ width: CROP, height: CROP, data: film }, WHITE_LEVEL);
    const rgb = [0, 1, 2].map((k) => data[k] / PAPER_WHITE) as [number, number, number];
    // the library takes differences in its Lab of D50: it is given the coordinates of D65 as they are
    return new Color('lab', new Color('srgb-linear', rgb).to('lab-d65').coords);
  };
  const expected = shown(a).deltaE(shown(b), '2000');
  const { metal } = cleanErrors([a], [b], classes);
  expect(expected).toBeGreaterThan(5);
  expect(metal.deltaE).toBeCloseTo(expected, 2);
  expect(metal.blocks).toBeCloseTo(expected, 2);
  expect(metal.over).toBe(1);
});
