import Color from 'colorjs.io';
import { describe, expect, it } from 'vitest';
import { deltaE2000 } from '../../pipeline/trade/colour-difference.ts';

type Lab = [number, number, number];

describe('the CIEDE2000 difference', () => {
  // test data of Sharma, Wu and Dalal, Color Research and Application 30(1), 2005, table 1 (pairs 1, 4, 7, 9, 13, 17, 21, 25)
  it.each<[Lab, Lab, number]>([
    [[50, 2.6772, -79.7751], [50, 0, -82.7485], 2.0425],
    [[50, -1.3802, -84.2814], [50, 0, -82.7485], 1.0],
    [[50, 0, 0], [50, -1, 2], 2.3669],
    [[50, 2.49, -0.001], [50, -2.49, 0.0009], 7.1792],
    [[50, -0.001, 2.49], [50, 0.0009, -2.49], 4.8045],
    [[50, 2.5, 0], [73, 25, -18], 27.1492],
    [[50, 2.5, 0], [50, 3.1736, 0.5854], 1.0],
    [[60.2574, -34.0099, 36.2677], [60.4626, -34.1751, 39.4387], 1.2644],
  ])('of %j and %j is %f', (a, b, expected) => {
    expect(deltaE2000(a, b)).toBeCloseTo(expected, 4);
    expect(deltaE2000(b, a)).toBeCloseTo(expected, 4);
  });

  it('is that of colorjs.io over the whole of CIELAB', () => {
    let seed = 1;
    const random = () => {
      seed = (seed * 16807) % 2147483647;
      return seed / 2147483647;
    };
    for (let i = 0; i < 400; i++) {
      const [p, q] = [0, 1].map((): Lab => [100 * random(), 200 * random() - 100, 200 * random() - 100]);
      // the formula knows no white: colorjs.io takes it in CIELAB of D50
      const expected = new Color('lab', p).deltaE(new Color('lab', q), '2000');
      expect(deltaE2000(p, q)).toBeCloseTo(expected, 6);
    }
  });
});
