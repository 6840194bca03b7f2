import { describe, expect, it } from 'vitest';
import { FilmBlocks } from '../../pipeline/look/reader/film-blocks.ts';
import { filmState } from '../../pipeline/tracer/film-state.ts';

const SIZE = { width: 20, height: 18, colourways: 2 };

describe('the memory of films', () => {
  it('is that of a film which nobody wants any more, emptied, and never of the one that is shown', () => {
    const blocks = new FilmBlocks();
    const first = blocks.film(SIZE, undefined);
    const second = blocks.film(SIZE, first);
    expect(second.buffer).not.toBe(first.buffer);
    for (const film of [first, second]) {
      film.sum.fill(3);
      film.samples.fill(4);
      film.open.fill(0);
      film.seen.fill(2);
    }
    const third = blocks.film(SIZE, second);
    expect(third.buffer).toBe(first.buffer);
    expect(third).toEqual({ ...filmState(SIZE), buffer: third.buffer });
    expect(second.sum[0]).toBe(3);
  });

  it('is fresh for a film of another size, and kept for the sizes before', () => {
    const blocks = new FilmBlocks();
    const small = blocks.film(SIZE, undefined);
    const large = blocks.film({ ...SIZE, width: 40 }, small);
    expect(large.sum).toHaveLength(40 * 18 * 3 * 2);
    expect(blocks.film(SIZE, large).buffer).toBe(small.buffer);
  });
});
