/** Jobs of a pass: each tile once, none with more runs than there is room for, the noisiest tiles first. */
import { expect, it } from 'vitest';
import { filmState, TILE } from '../../pipeline/tracer/film-state.ts';
import { LONGEST_RUN, planJobs } from '../../pipeline/tracer/gpu/pass-jobs.ts';

const film = filmState({ width: 20 * TILE, height: 10 * TILE, colourways: 2 });
const TILES = [...film.samples.keys()];
const pass = (from: number, middle: number, to: number) => ({
  ...{ from, middle, to, halfSamples: from / 2, seed: 1, units: TILES.length },
});

it.each([
  ['a whole pass at once', pass(0, 8, 16), 200 * 256 * 16, 1],
  ['runs that have room in a few jobs', pass(16, 32, 48), 40 * 256 * 4, LONGEST_RUN],
  ['halves that no run but one of 2 divides', pass(0, 2, 6), 100 * 256, 2],
  ['room for a single tile', pass(0, 32, 64), 256 * 64, LONGEST_RUN],
])('%s', (_, block, room, longest) => {
  const jobs = planJobs(film, block, TILES, room);
  expect(jobs.flatMap(({ tiles }) => tiles).sort((a, b) => a - b)).toEqual(TILES);
  let first = 0;
  for (const { tiles, portion } of jobs) {
    expect(portion.first).toBe(first);
    expect(portion.runs * portion.run).toBe(tiles.length * TILE * TILE * (block.to - block.from));
    expect(portion.runs).toBeLessThanOrEqual(room);
    expect((block.middle - block.from) % portion.run).toBe(0);
    first += tiles.length;
  }
  expect(Math.max(...jobs.map(({ portion }) => portion.run))).toBe(longest);
});

it('tiles with most noise are in the first job', () => {
  const loud = [7, 60, 61, 199];
  film.samples.fill(8);
  for (const tile of loud) film.rowVariance[tile * TILE * 2 * film.colourways] = 1;
  const [{ tiles }] = planJobs(film, pass(8, 16, 24), TILES, 1e6);
  expect(tiles.slice(0, 4)).toEqual(loud);
  expect(tiles.length).toBeLessThan(TILES.length / 4);
});
