/** How a pass is done on a card: in jobs, each as many runs of samples as there is room for their light. */
import { type FilmState, TILE, tileRect } from '../film-state.ts';
import type { Pass } from '../pass-share.ts';
import { PORTIONS, type Portion } from './shader/film.ts';

/** Most samples that a slot follows one after another. */
export const LONGEST_RUN = 8;
/** Share of the tiles that have jobs of their own, in shorter runs, since there paths are longest. */
const BUSY = 0.12;

export interface PassJob {
  tiles: number[];
  /** as the card is told of it, its tiles being listed after those of the jobs before it */
  portion: Omit<Portion, 'before'>;
}

/**
 * While a pass's last runs are followed the card has little to do. So runs are no longer than it takes for jobs to have room,
 * and jobs begin with the tiles whose paths are longest.
 * @param room runs of a job whose light has room; there is as much for each portion
 */
export function planJobs(film: FilmState, pass: Pass, tiles: readonly number[], room: number): PassJob[] {
  const sorted = busiestFirst(film, tiles);
  const busy = Math.ceil(BUSY * tiles.length);
  let first = 0;
  return [sorted.slice(0, busy), sorted.slice(busy)].flatMap((some) => {
    const { run, runsOfTile, shares } = dealt(pass, some, room);
    return shares.map((own) => {
      const portion = { first, run, runs: own.length * runsOfTile };
      first += own.length;
      return { tiles: own, portion };
    });
  });
}

/** Runs as short as room allows, and tiles by jobs, in their order. */
function dealt({ from, middle, to }: Pass, tiles: number[], room: number) {
  const samples = (to - from) * TILE * TILE;
  // no run has samples of both halves
  const fits = (run: number) => (middle - from) % run === 0 && (to - middle) % run === 0;
  let run = 1;
  while ((tiles.length * samples) / run > (PORTIONS / 2) * room && 2 * run <= LONGEST_RUN && fits(2 * run))
    run *= 2;
  const runsOfTile = samples / run;
  const ofJob = Math.floor(room / runsOfTile);
  const shares: number[][] = [];
  for (let i = 0; i < tiles.length; i += ofJob) shares.push(tiles.slice(i, i + ofJob));
  return { run, runsOfTile, shares };
}

/** By their noise so far, which long paths make; before there is any by how near they are to the frame's middle. */
function busiestFirst(film: FilmState, tiles: readonly number[]): number[] {
  const key = film.samples[tiles[0]] > 0 ? noiseOf : (tile: number) => -distanceToMiddle(film, tile);
  const keyed = tiles.map((tile) => ({ tile, key: key(tile) }));
  return keyed.sort((a, b) => b.key - a.key || 0).map(({ tile }) => tile);

  function noiseOf(tile: number): number {
    let all = 0;
    for (let y = 0; y < TILE; y++) {
      const at = (tile * TILE + y) * film.colourways * 2;
      all += film.rowVariance[at] + film.rowVariance[at + 1];
    }
    return all;
  }
}

function distanceToMiddle(film: FilmState, tile: number): number {
  const { x, y } = tileRect(film, tile);
  return Math.hypot(x + (TILE - film.width) / 2, y + (TILE - film.height) / 2);
}
