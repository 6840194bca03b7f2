import { describe, expect, it } from 'vitest';
import { fillBetween } from '../../pipeline/look/reader/half-picture.ts';

describe('a picture of which every second pixel is traced', () => {
  it('is filled with what lies between, which leaves an even slope as it is', () => {
    const [width, height] = [7, 5];
    const slope = (x: number, y: number, k: number) => 0.1 * x + 0.2 * y + k;
    const data = new Float32Array(3 * width * height);
    for (let y = 0; y < height; y++)
      for (let x = y % 2; x < width; x += 2)
        for (let k = 0; k < 3; k++) data[3 * (y * width + x) + k] = slope(x, y, k);
    const traced = data.slice();
    fillBetween(data, width, height);
    for (let y = 0; y < height; y++)
      for (let x = 0; x < width; x++) {
        const at = 3 * (y * width + x);
        if ((x + y) % 2 === 0) expect(data.slice(at, at + 3)).toEqual(traced.slice(at, at + 3));
        else if (x > 0 && y > 0 && x < width - 1 && y < height - 1)
          for (let k = 0; k < 3; k++) expect(data[at + k]).toBeCloseTo(slope(x, y, k), 5);
        // at the edge one neighbour counts for the one that lacks
        else for (let k = 0; k < 3; k++) expect(Math.abs(data[at + k] - slope(x, y, k))).toBeLessThan(0.2);
      }
  });
});
