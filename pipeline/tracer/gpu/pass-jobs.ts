/** How a pass is done on a card: in jobs, each as many runs of samples as there is room for their light. */
import { type FilmState, TILE, tileRect } from '../film-state.ts';
import type { Pass } from '../pass-share.ts';

/** Most samples that a slot follows one after another: while the last runs of a job are followed the card has little to do. */
const LONGEST_RUN = 16;

/** @param room runs whose light has room */
export function planJobs({ from, middle, to }: Pass, tiles: number, room: number) {
  const [a, b] = [middle - from, to - middle];
  const samples = (to - from) * TILE * TILE;
  let run = 1;
  const longer = () => 2 * run <= LONGEST_RUN && a % (2 * run) === 0 && b % (2 * run) === 0;
  while ((tiles * samples) / run > room && longer()) run *= 2;
  const runsOfTile = samples / run;
  return { run, runsOfTile, jobs: Math.ceil(tiles / Math.floor(room / runsOfTile)) };
}

/**
 * To each job tiles from all over the frame, those in its middle first: what is far out shows ground, whose paths are short,
 * so that few are left under way at a job's end.
 */
export function dealTiles(film: FilmState, tiles: readonly number[], jobs: number): number[][] {
  const sorted = tiles
    .map((tile) => {
      const { x, y } = tileRect(film, tile);
      return { tile, out: Math.hypot(x + (TILE - film.width) / 2, y + (TILE - film.height) / 2) };
    })
    .sort((a, b) => a.out - b.out);
  return Array.from({ length: jobs }, (_, job) =>
    sorted.filter((_, i) => i % jobs === job).map(({ tile }) => tile),
  );
}
