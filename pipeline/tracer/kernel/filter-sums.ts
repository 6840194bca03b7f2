/**
 * Sums of products over the blocks of the film filter: every pixel is met once, and the windows that share a block take its
 * sums, moved to their own middles. In doubles, two at a time, in the order of cells.
 */
import {
  F_BLOCK_BITS_AT,
  F_CELLS_AT,
  F_CHANNELS,
  F_COLUMNS,
  F_DONE_AT,
  F_FEATURES_AT,
  F_FLAGS_AT,
  F_GROUND,
  F_METAL,
  F_METAL_COLUMNS,
  F_MOVED_AT,
  F_OPEN,
  F_RADIUS,
  F_ROWS,
  F_SIDE,
  F_SUMS_AT,
  F_SUMS_HEAD,
  F_VALUES_AT,
  F_WIDTH,
  F_WINDOW_AT,
} from './filter-layout';
import { FEATURES } from './layout';

const FEATURE_BYTES: usize = FEATURES << 2;
/** bytes of all columns of a cell or row of sums */
const COLUMN_BYTES: usize = F_COLUMNS << 3;
/** columns of ground: 1, x, y, xx, xy, yy */
const G: usize = F_METAL_COLUMNS << 3;

/** blocks across, and down as far as rows are held */
export let blocksWide: i32 = 0;
export let blocksHigh: i32 = 0;
/** columns that something shows: [low, high) */
export let low: i32 = 0;
export let high: i32 = 0;
/** bytes of a row of sums, and of all of a block's or window's */
let rowBytes: usize = 0;
let sumsBytes: usize = 0;

export function columnsOf(bits: u32): void {
  low = (bits & F_METAL) !== 0 ? 0 : F_METAL_COLUMNS;
  high = (bits & F_GROUND) !== 0 ? F_COLUMNS : F_METAL_COLUMNS;
}

export function bitsOf(bx: i32, by: i32): u32 {
  return load<u8>(<usize>load<u32>(F_BLOCK_BITS_AT) + <usize>(by * blocksWide + bx));
}

/** Notes what the pixels of each block are. */
export function markBlocks(): void {
  const width = load<i32>(F_WIDTH);
  const rows = load<i32>(F_ROWS);
  const radius = load<i32>(F_RADIUS);
  blocksWide = (width + radius - 1) / radius;
  blocksHigh = (rows + radius - 1) / radius;
  rowBytes = COLUMN_BYTES + (<usize>load<u32>(F_CHANNELS) << 3);
  sumsBytes = F_SUMS_HEAD + <usize>F_COLUMNS * rowBytes;
  const flags: usize = load<u32>(F_FLAGS_AT);
  const marks: usize = load<u32>(F_BLOCK_BITS_AT);
  memory.fill(marks, 0, <usize>(blocksWide * blocksHigh));
  for (let y = 0; y < rows; y++) {
    const row = marks + <usize>((y / radius) * blocksWide);
    const pixels = flags + <usize>(y * width);
    for (let bx = 0; bx < blocksWide; bx++) {
      const end = min<i32>(width, (bx + 1) * radius);
      let bits: u32 = 0;
      for (let x = bx * radius; x < end; x++) bits |= load<u8>(pixels + <usize>x);
      store<u8>(row + <usize>bx, load<u8>(row + <usize>bx) | bits);
    }
  }
  memory.fill(load<u32>(F_DONE_AT), 0, <usize>(2 * blocksWide));
}

/** Makes room for a row of blocks: that two above it is given up. */
export function openBlockRow(by: i32): void {
  memory.fill(<usize>load<u32>(F_DONE_AT) + <usize>((by & 1) * blocksWide), 0, blocksWide);
}

/** Empties the sums of the window at hand. */
export function clearWindow(): void {
  memory.fill(load<u32>(F_WINDOW_AT), 0, sumsBytes);
}

/** Adds a block to the window at hand, whose middle lies half a block to its side: (a, b) from the block's, in half widths. */
export function addToWindow(bx: i32, by: i32, a: f64, b: f64): void {
  const slot: usize = (by & 1) * blocksWide + bx;
  const sums = <usize>load<u32>(F_SUMS_AT) + slot * sumsBytes;
  const done = <usize>load<u32>(F_DONE_AT) + slot;
  columnsOf(bitsOf(bx, by));
  if (load<u8>(done) === 0) {
    gather(bx, by, sums);
    store<u8>(done, 1);
  }
  const pixels = load<f64>(sums);
  if (pixels === 0) return;
  const moved: usize = load<u32>(F_MOVED_AT);
  const from: usize = F_SUMS_HEAD + <usize>low * rowBytes;
  const to: usize = F_SUMS_HEAD + <usize>high * rowBytes;
  memory.copy(moved + from, sums + from, to - from);
  const head = moved + F_SUMS_HEAD;
  moveRows(head, a, b);
  for (let i = low; i < high; i++) moveColumns(head + <usize>i * rowBytes, a, b);
  const window: usize = load<u32>(F_WINDOW_AT);
  store<f64>(window, load<f64>(window) + pixels);
  for (let at = from; at < to; at += 16)
    v128.store(window + at, f64x2.add(v128.load(window + at), v128.load(moved + at)));
}

/** Sums over a block's cells, by where they lie from the block's middle in half widths of windows. */
function gather(bx: i32, by: i32, sums: usize): void {
  memory.fill(sums, 0, sumsBytes);
  const radius = load<i32>(F_RADIUS);
  const side = load<i32>(F_SIDE);
  const right = min<i32>(load<i32>(F_WIDTH), (bx + 1) * radius);
  const bottom = min<i32>(load<i32>(F_ROWS), (by + 1) * radius);
  const cells: usize = load<u32>(F_CELLS_AT);
  const cellBytes = COLUMN_BYTES + rowBytes;
  const middle = <f64>(radius - side) / 2;
  let pixels = 0;
  let end = cells;
  for (let y = by * radius; y < bottom; y += side)
    for (let x = bx * radius; x < right; x += side) {
      const n = layCell(end, x, y, min<i32>(right, x + side), min<i32>(bottom, y + side));
      if (n === 0) continue;
      pixels += n;
      const u = (<f64>(x - bx * radius) - middle) / <f64>radius;
      const v = (<f64>(y - by * radius) - middle) / <f64>radius;
      place(end, u, v, <f64>n);
      end += cellBytes;
    }
  store<f64>(sums, <f64>pixels);
  for (let i = low; i < high; i++) {
    const row = sums + F_SUMS_HEAD + <usize>i * rowBytes;
    const weighted: usize = <usize>i << 3;
    for (let j = low; j < high; j += 6) multiply3(cells, end, cellBytes, weighted, <usize>j << 3, row);
    for (let j = COLUMN_BYTES; j < rowBytes; j += 32) multiply2(cells, end, cellBytes, weighted, j, row);
  }
}

/** Means of the open pixels of a cell, as its columns (without place) and values; how many pixels they are. */
function layCell(to: usize, x0: i32, y0: i32, x1: i32, y1: i32): i32 {
  const width = load<i32>(F_WIDTH);
  const flags: usize = load<u32>(F_FLAGS_AT);
  const features: usize = load<u32>(F_FEATURES_AT);
  const values: usize = load<u32>(F_VALUES_AT);
  const valueBytes: usize = (rowBytes - COLUMN_BYTES) >> 1;
  const columns = to + COLUMN_BYTES;
  memory.fill(to, 0, COLUMN_BYTES + rowBytes);
  let n = 0;
  for (let y = y0; y < y1; y++)
    for (let x = x0; x < x1; x++) {
      const p: usize = y * width + x;
      if ((load<u8>(flags + p) & F_OPEN) === 0) continue;
      n++;
      const own = features + p * FEATURE_BYTES;
      // what glossy ground mirrors is none of metal's columns
      addWide(columns, own, load<f32>(own) === 0 ? 8 : FEATURE_BYTES);
      addWide(columns + COLUMN_BYTES, values + p * valueBytes, valueBytes);
    }
  if (n < 2) return n;
  const share = f64x2.splat(1 / <f64>n);
  for (let at = columns; at < columns + rowBytes; at += 16) v128.store(at, f64x2.mul(share, v128.load(at)));
  return n;
}

/** Adds floats to doubles. */
// @ts-ignore decorator
@inline
function addWide(to: usize, from: usize, bytes: usize): void {
  for (let at: usize = 0; at < bytes; at += 8) {
    const d = to + (at << 1);
    v128.store(d, f64x2.add(v128.load(d), f64x2.promote_low_f32x4(v128.load64_zero(from + at))));
  }
}

/** Makes columns of a cell's features at (u, v), and the same once more times its weight. */
function place(cell: usize, u: f64, v: f64, weight: f64): void {
  const c = cell + COLUMN_BYTES;
  // features are metal, ground, stone, then the others, which are metal's
  const metal = load<f64>(c);
  const ground = load<f64>(c, 8);
  store<f64>(c, metal * u, 8);
  store<f64>(c, metal * v, 16);
  const gu = ground * u;
  const gv = ground * v;
  store<f64>(c, ground, 96);
  store<f64>(c, gu, 104);
  store<f64>(c, gv, 112);
  store<f64>(c, gu * u, 120);
  store<f64>(c, gu * v, 128);
  store<f64>(c, gv * v, 136);
  const w = f64x2.splat(weight);
  for (let at: usize = 0; at < COLUMN_BYTES; at += 16) v128.store(cell + at, f64x2.mul(w, v128.load(c + at)));
}

/** Products of one weighted column with six columns, summed over cells. */
function multiply3(cells: usize, end: usize, cellBytes: usize, weighted: usize, column: usize, row: usize): void {
  let a = f64x2.splat(0);
  let b = f64x2.splat(0);
  let c = f64x2.splat(0);
  const other = COLUMN_BYTES + column;
  for (let cell = cells; cell < end; cell += cellBytes) {
    const w = v128.load64_splat(cell + weighted);
    a = f64x2.add(a, f64x2.mul(w, v128.load(cell + other)));
    b = f64x2.add(b, f64x2.mul(w, v128.load(cell + other, 16)));
    c = f64x2.add(c, f64x2.mul(w, v128.load(cell + other, 32)));
  }
  v128.store(row + column, a);
  v128.store(row + column, b, 16);
  v128.store(row + column, c, 32);
}

/** The same with four values. */
function multiply2(cells: usize, end: usize, cellBytes: usize, weighted: usize, column: usize, row: usize): void {
  let a = f64x2.splat(0);
  let b = f64x2.splat(0);
  const other = COLUMN_BYTES + column;
  for (let cell = cells; cell < end; cell += cellBytes) {
    const w = v128.load64_splat(cell + weighted);
    a = f64x2.add(a, f64x2.mul(w, v128.load(cell + other)));
    b = f64x2.add(b, f64x2.mul(w, v128.load(cell + other, 16)));
  }
  v128.store(row + column, a);
  v128.store(row + column, b, 16);
}

/** Rows of sums as they are when every column is measured from a point (a, b) farther: (x + a)², and so on. */
function moveRows(head: usize, a: f64, b: f64): void {
  const row = rowBytes;
  if (low === 0) {
    addRow(head + row, head, a);
    addRow(head + 2 * row, head, b);
  }
  if (high < F_COLUMNS) return;
  const g = head + <usize>F_METAL_COLUMNS * row;
  addRow(g + 5 * row, g + 2 * row, 2 * b);
  addRow(g + 5 * row, g, b * b);
  addRow(g + 4 * row, g + 2 * row, a);
  addRow(g + 4 * row, g + row, b);
  addRow(g + 4 * row, g, a * b);
  addRow(g + 3 * row, g + row, 2 * a);
  addRow(g + 3 * row, g, a * a);
  addRow(g + 2 * row, g, b);
  addRow(g + row, g, a);
}

function addRow(to: usize, from: usize, factor: f64): void {
  const f = f64x2.splat(factor);
  for (let at: usize = 0; at < rowBytes; at += 16)
    v128.store(to + at, f64x2.add(v128.load(to + at), f64x2.mul(f, v128.load(from + at))));
}

/** The same for the columns of one row. */
function moveColumns(row: usize, a: f64, b: f64): void {
  if (low === 0) {
    const m = load<f64>(row);
    store<f64>(row, load<f64>(row, 8) + a * m, 8);
    store<f64>(row, load<f64>(row, 16) + b * m, 16);
  }
  if (high < F_COLUMNS) return;
  const g = load<f64>(row, G);
  const x = load<f64>(row, G + 8);
  const y = load<f64>(row, G + 16);
  store<f64>(row, x + a * g, G + 8);
  store<f64>(row, y + b * g, G + 16);
  store<f64>(row, load<f64>(row, G + 24) + 2 * a * x + a * a * g, G + 24);
  store<f64>(row, load<f64>(row, G + 32) + a * y + b * x + a * b * g, G + 32);
  store<f64>(row, load<f64>(row, G + 40) + 2 * b * y + b * b * g, G + 40);
}
