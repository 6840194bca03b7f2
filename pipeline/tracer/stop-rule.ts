/**
 * When a tile has had enough.
 *
 * A tile closes at the noise target, but only with MIN_SAMPLES and while no tile touching it (corners too) is noisier than
 * the target, by SLACK at most: rare bright paths first show in one tile and then next door, and a quiet estimate beside a loud
 * one is more likely luck than truth. It also keeps neighbours alike, so that no seam shows between them. A closed tile stays
 * closed. In tiles that show stones the slack is spent by and by: the more samples they ask for, the rarer are the paths that
 * bring their light.
 *
 * (With neighbours at up to twice the target, stones at dusk had 3.7 pixels in a thousand over ΔE 5 for 265 samples a pixel,
 * all in tiles that had closed early; at 1.25 times 1.4 for 359, at the target 0.8 for 495. That doubled what stones in gentler
 * light are given, which need no more. As it is, 0.8 for 417.)
 *
 * The error a film reports is the root mean square over all its tiles and lies well below the target, because ground and
 * metal get there with the least samples.
 */
import { tileError } from './film-error.ts';
import { type FilmState, SEEN, tileRect } from './film-state.ts';

/**
 * First judged after three blocks. From 8 samples on the demo's flat lay took 3.5 s in place of 5.1, but single tiles look
 * quieter than they are, and the film filter leaves clusters of specks in them.
 */
export const MIN_SAMPLES = 16;
/** Share of the target by which neighbours may be noisier, and samples at which stones have none of it left. */
const SLACK = 1;
const SPENT = 256;

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
  const isNoisier = (x: number, y: number, than: number) =>
    x >= 0 && y >= 0 && x < tilesX && y < tilesY && errors[y * tilesX + x] > than;
  let left = 0;
  for (let t = 0; t < open.length; t++) {
    if (!open[t]) continue;
    const x = t % tilesX;
    const y = Math.floor(t / tilesX);
    let quiet = samples[t] >= MIN_SAMPLES && errors[t] <= noiseTarget;
    const most = quiet ? noiseTarget * (1 + slackOf(film, t)) : 0;
    for (let j = -1; quiet && j <= 1; j++) {
      for (let i = -1; quiet && i <= 1; i++) quiet = !isNoisier(x + i, y + j, most);
    }
    if (quiet || samples[t] >= cap) open[t] = 0;
    else left++;
  }
  return left;
}

const slackOf = (film: FilmState, tile: number): number =>
  SLACK * (showsStone(film, tile) ? Math.max(0, 1 - film.samples[tile] / SPENT) : 1);

/** Only of films that will be filtered is it known. */
function showsStone(film: FilmState, tile: number): boolean {
  const { x, y, width, height } = tileRect(film, tile);
  for (let j = y; j < y + height; j++) {
    const row = j * film.width;
    if (film.seen.subarray(row + x, row + x + width).includes(SEEN.stone)) return true;
  }
  return false;
}
