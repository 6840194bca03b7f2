/**
 * Everything a take has learnt so far, in one block of (shared) memory: stop here, keep the block, and the take
 * goes on bit for bit. Workers write disjoint rows of it at the same time; nothing in it needs a lock.
 *
 * Memory per pixel and colourway: 24 bytes (sum and half, RGB floats), so 800 × 800 × 16 colourways take 246 MB.
 */

/** Edge of a tile in pixels: small enough to follow noise, large enough for its error to be a statistic. */
export const TILE = 16;

export interface FilmSize {
  width: number;
  height: number;
  colourways: number;
}

export interface FilmState extends FilmSize {
  tilesX: number;
  tilesY: number;
  /** sums of all samples: colourway, row, column, RGB */
  sum: Float32Array;
  /** sums of the samples of half A, laid out as `sum`; half B is the rest */
  half: Float32Array;
  /** per tile: samples per pixel in `sum` and in `half` */
  samples: Uint32Array;
  halfSamples: Uint32Array;
  /** per tile 1 while it still gets samples */
  open: Uint8Array;
  /** relative variance summed over a tile's row of pixels: tile, row in the tile, colourway */
  rowVariance: Float64Array;
  /** paths traced so far, one number */
  paths: Float64Array;
  /** the block under all the views above */
  buffer: ArrayBufferLike;
}

/** Lays the views over `buffer`, or over fresh shared memory with every tile open and no samples. */
export function filmState(size: FilmSize, buffer?: ArrayBufferLike): FilmState {
  const { width, height, colourways } = size;
  const tilesX = Math.ceil(width / TILE);
  const tilesY = Math.ceil(height / TILE);
  const tiles = tilesX * tilesY;
  const floats = width * height * 3 * colourways;
  // Widest elements first, so that every view is aligned.
  const lengths = [8, tiles * TILE * colourways * 8, floats * 4, floats * 4, tiles * 4, tiles * 4, tiles];
  const at: number[] = [];
  let bytes = 0;
  for (const length of lengths) {
    at.push(bytes);
    bytes += length;
  }
  const block = (buffer ?? new SharedArrayBuffer(bytes)) as ArrayBuffer;
  if (block.byteLength !== bytes)
    throw new RangeError(`film block has ${block.byteLength} bytes, not ${bytes}`);
  const state: FilmState = {
    width,
    height,
    colourways,
    tilesX,
    tilesY,
    paths: new Float64Array(block, at[0], 1),
    rowVariance: new Float64Array(block, at[1], tiles * TILE * colourways),
    sum: new Float32Array(block, at[2], floats),
    half: new Float32Array(block, at[3], floats),
    samples: new Uint32Array(block, at[4], tiles),
    halfSamples: new Uint32Array(block, at[5], tiles),
    open: new Uint8Array(block, at[6], tiles),
    buffer: block,
  };
  if (!buffer) state.open.fill(1);
  return state;
}

export interface TileRect {
  x: number;
  y: number;
  width: number;
  height: number;
}

/** Tiles count row by row from the top left; those at the right and bottom edges may be smaller. */
export function tileRect(film: FilmState, tile: number): TileRect {
  const x = (tile % film.tilesX) * TILE;
  const y = Math.floor(tile / film.tilesX) * TILE;
  return { x, y, width: Math.min(TILE, film.width - x), height: Math.min(TILE, film.height - y) };
}

/** The film of one colourway: mean linear RGB, top row first, `width * height * 3` floats. */
export function developFilm(film: FilmState, colourway: number): Float32Array<ArrayBuffer> {
  const { width, height } = film;
  const out = new Float32Array(width * height * 3);
  const base = colourway * out.length;
  for (let tile = 0; tile < film.samples.length; tile++) {
    const r = tileRect(film, tile);
    const scale = 1 / Math.max(1, film.samples[tile]);
    for (let y = r.y; y < r.y + r.height; y++) {
      const row = (y * width + r.x) * 3;
      for (let i = row; i < row + r.width * 3; i++) out[i] = film.sum[base + i] * scale;
    }
  }
  return out;
}
