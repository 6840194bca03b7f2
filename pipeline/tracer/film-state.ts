/**
 * Everything a take has learnt so far, in one block of (shared) memory: stop here, keep the block, and the take
 * goes on bit for bit. Workers write disjoint rows of it at the same time; nothing in it needs a lock.
 *
 * Memory per pixel and colourway: 16 bytes (sums as RGB floats, and the differences of the halves, see half-split.ts), so
 * 1600 × 1600 × 16 colourways take 655 MB; one more a pixel says what it shows. (Sums of both halves as floats took 24 bytes.) The guide of the film filter comes
 * after the films: its features (48 bytes a pixel) are laid over sums that have been handed over, where there are at least
 * four planes of them, and its spread takes 12 more, 31 MB at 1600².
 */

/** Edge of a tile in pixels: small enough to follow noise, large enough for its error to be a statistic. */
export const TILE = 16;

/** What a pixel shows: not known, which is how raw films are judged; what the film filter will smooth; some of a stone. */
export const SEEN = { raw: 0, filtered: 1, stone: 2 } as const;

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
  /** sums of half A less those of half B: colourway, row, column, four bytes as half-split.ts packs them */
  split: Int8Array;
  /** per tile: samples per pixel in `sum`, and how many of them are in half A */
  samples: Uint32Array;
  halfSamples: Uint32Array;
  /** per tile 1 while it still gets samples */
  open: Uint8Array;
  /** per pixel what it shows, one of SEEN */
  seen: Uint8Array;
  /** squared error summed over a tile's row of pixels: tile, row in the tile, colourway, first beside stones and then in them */
  rowVariance: Float64Array;
  /** paths traced so far, one number */
  paths: Float64Array;
  /** seconds spent so far, one number */
  seconds: Float64Array;
  /** the block under all the views above */
  buffer: ArrayBufferLike;
  /** the part of it from which all else can be worked out: what a checkpoint keeps */
  kept: Uint8Array;
}

/** Where the parts of the block begin, and its length. */
function layout({ width, height, colourways }: FilmSize) {
  const tilesX = Math.ceil(width / TILE);
  const tilesY = Math.ceil(height / TILE);
  const tiles = tilesX * tilesY;
  const floats = width * height * 3 * colourways;
  // Widest elements first, so that every view is aligned; `rowVariance` before what is kept.
  const lengths = [
    tiles * TILE * colourways * 2 * 8,
    8,
    8,
    floats * 4,
    tiles * 4,
    tiles * 4,
    (floats / 3) * 4,
    tiles,
    width * height,
  ];
  const at: number[] = [];
  let bytes = 0;
  for (const length of lengths) {
    at.push(bytes);
    bytes += length;
  }
  return { tilesX, tilesY, tiles, floats, at, bytes };
}

/** Bytes of `FilmState.kept`. */
export function keptBytes(size: FilmSize): number {
  const { at, bytes } = layout(size);
  return bytes - at[1];
}

/** Bytes of the whole block. */
export const filmBytes = (size: FilmSize): number => layout(size).bytes;

/** Lays the views over `buffer`, or over fresh shared memory with every tile open and no samples. */
export function filmState(size: FilmSize, buffer?: ArrayBufferLike): FilmState {
  const { width, height, colourways } = size;
  const { tilesX, tilesY, tiles, floats, at, bytes } = layout(size);
  const block = (buffer ?? new SharedArrayBuffer(bytes)) as ArrayBuffer;
  if (block.byteLength !== bytes)
    throw new RangeError(`film block has ${block.byteLength} bytes, not ${bytes}`);
  const state: FilmState = {
    width,
    height,
    colourways,
    tilesX,
    tilesY,
    rowVariance: new Float64Array(block, at[0], tiles * TILE * colourways * 2),
    paths: new Float64Array(block, at[1], 1),
    seconds: new Float64Array(block, at[2], 1),
    sum: new Float32Array(block, at[3], floats),
    samples: new Uint32Array(block, at[4], tiles),
    halfSamples: new Uint32Array(block, at[5], tiles),
    split: new Int8Array(block, at[6], (floats / 3) * 4),
    open: new Uint8Array(block, at[7], tiles),
    seen: new Uint8Array(block, at[8], width * height),
    buffer: block,
    kept: new Uint8Array(block, at[1]),
  };
  if (!buffer) state.open.fill(1);
  return state;
}

/** A film without samples in the memory of one that nobody wants any more. */
export function emptiedFilm(size: FilmSize, buffer: ArrayBufferLike): FilmState {
  const state = filmState(size, buffer);
  new Uint8Array(buffer as ArrayBuffer).fill(0);
  state.open.fill(1);
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

/** The film of one colourway: mean linear RGB, top row first, `width * height * 3` floats, in `into` if there is one. */
export function meanFilm(
  film: FilmState,
  colourway: number,
  into?: Float32Array<ArrayBuffer>,
): Float32Array<ArrayBuffer> {
  return meanTileRows(film, colourway, 0, film.tilesY, into);
}

/** The part of it that lies in rows of tiles `from` up to `to`. */
export function meanTileRows(
  film: FilmState,
  colourway: number,
  from: number,
  to: number,
  into?: Float32Array<ArrayBuffer>,
): Float32Array<ArrayBuffer> {
  const { width, height, tilesX } = film;
  const start = from * TILE * width * 3;
  const out = into ?? new Float32Array(Math.min(to * TILE, height) * width * 3 - start);
  const base = colourway * width * height * 3 + start;
  for (let tile = from * tilesX; tile < to * tilesX; tile++) {
    const r = tileRect(film, tile);
    const scale = 1 / Math.max(1, film.samples[tile]);
    for (let y = r.y; y < r.y + r.height; y++) {
      const row = (y * width + r.x) * 3 - start;
      for (let i = row; i < row + r.width * 3; i++) out[i] = film.sum[base + i] * scale;
    }
  }
  return out;
}
