/**
 * When a tile has had enough.
 *
 * A tile closes at the noise target, but only with MIN_SAMPLES and while no tile touching it (corners too) is
 * noisier than NEIGHBOUR times the target: rare bright paths first show in one tile and then next door, and a
 * quiet estimate beside a loud one is more likely luck than truth. It also keeps neighbours alike, so that no seam
 * shows between them. A closed tile stays closed.
 *
 * The error a film reports is the root mean square over all its tiles and lies well below the target, because ground and
 * metal get there with the least samples.
 */
import { tileError } from './film-error.ts';
import type { FilmState } from './film-state.ts';

/**
 * First judged after three blocks. From 8 samples on the demo's flat lay took 3.5 s in place of 5.1, but single tiles look
 * quieter than they are, and the film filter leaves clusters of specks in them.
 */
export const MIN_SAMPLES = 16;
export const NEIGHBOUR = 2;

export interface FilmError {
  /** per tile */
  tiles: Float64Array;
  /** root mean square over all tiles */
  rms: number;
  /** largest of the open tiles */
  worst: number;
}

export function filmError(film: FilmState): FilmError {
  const tiles = new Float64Array(film.samples.length);
  let squares = 0;
  let worst = 0;
  for (let t = 0; t < tiles.length; t++) {
    tiles[t] = tileError(film, t);
    squares += tiles[t] * tiles[t];
    if (film.open[t]) worst = Math.max(worst, tiles[t]);
  }
  return { tiles, rms: Math.sqrt(squares / tiles.length), worst };
}

/** Closes the tiles that are done; returns how many stay open. */
export function closeTiles(film: FilmState, errors: Float64Array, noiseTarget: number, cap: number): number {
  const { tilesX, tilesY, open, samples } = film;
  const loud = (x: number, y: number) =>
    x >= 0 && y >= 0 && x < tilesX && y < tilesY && errors[y * tilesX + x] > NEIGHBOUR * noiseTarget;
  let left = 0;
  for (let t = 0; t < open.length; t++) {
    if (!open[t]) continue;
    const x = t % tilesX;
    const y = Math.floor(t / tilesX);
    let quiet = samples[t] >= MIN_SAMPLES && errors[t] <= noiseTarget;
    for (let j = -1; quiet && j <= 1; j++) {
      for (let i = -1; quiet && i <= 1; i++) quiet = !loud(x + i, y + j);
    }
    if (quiet || samples[t] >= cap) open[t] = 0;
    else left++;
  }
  return left;
}
