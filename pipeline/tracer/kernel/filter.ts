/**
 * The film filter's sums, a module of its own (`film-filter.ts` says what they are for): fits the windows over the wanted
 * rows of a band and adds what they say to its pixels. What a fit comes to in a pixel is in floats, four at a time.
 *
 * A window is four blocks, and blocks are what is summed (filter-sums.ts), so a pixel is met once and not four times. Pixels
 * are then written block by block, with its four windows' fits moved to the block's middle, so that their columns are the
 * same. Nine films of 1500² take 9 s of processor time in all, and took 19 s when each window was summed and written by itself.
 */
import {
  F_ASKED,
  F_CHANNELS,
  F_COLUMNS,
  F_FALL_AT,
  F_FEATURES_AT,
  F_FITS_AT,
  F_FLAGS_AT,
  F_FROM,
  F_METAL_COLUMNS,
  F_NOISY,
  F_OUT_AT,
  F_QUARTERS_AT,
  F_RADIUS,
  F_ROW,
  F_STATES_AT,
  F_TO,
  F_VALUES_AT,
  F_WANTED_AT,
  F_WIDTH,
} from './filter-layout';
import { addToWindow, bitsOf, blocksHigh, blocksWide, clearWindow, columnsOf, high, low, markBlocks, openBlockRow } from './filter-sums';
import { solve } from './filter-solve';
import { FEATURES } from './layout';

const ROW: usize = F_ROW;
const FEATURE_BYTES: usize = FEATURES << 2;

/** what a window is: not asked for, without noise (its pixels stay), fitted */
const UNASKED: u8 = 0;
const KEPT: u8 = 1;
const FITTED: u8 = 2;

/** bytes of a window's fit */
let fitBytes: usize = 0;
/** columns that the pixel at hand has: [rowLow, rowHigh) */
let rowLow: i32 = 0;
let rowHigh: i32 = 0;

export function fitBand(): void {
  markBlocks();
  fitBytes = <usize>(F_COLUMNS << 2) * <usize>load<u32>(F_CHANNELS);
  const radius = load<i32>(F_RADIUS);
  const first = load<i32>(F_FROM) / radius;
  const last = (load<i32>(F_TO) + radius - 1) / radius;
  for (let row = first; row <= last; row++) {
    openBlockRow(row);
    for (let wx = 0; wx <= blocksWide; wx++) fitWindow(wx, row);
    if (row === first) continue;
    for (let bx = 0; bx < blocksWide; bx++) if ((bitsOf(bx, row - 1) & F_ASKED) !== 0) write(bx, row - 1);
  }
}

function windowAt(wx: i32, wy: i32): usize {
  return (wy & 1) * (blocksWide + 1) + wx;
}

/** The window whose middle is the upper left corner of block (wx, wy). */
function fitWindow(wx: i32, wy: i32): void {
  const left = max<i32>(0, wx - 1);
  const right = min<i32>(blocksWide - 1, wx);
  const top = max<i32>(0, wy - 1);
  const bottom = min<i32>(blocksHigh - 1, wy);
  let bits: u32 = 0;
  for (let by = top; by <= bottom; by++) for (let bx = left; bx <= right; bx++) bits |= bitsOf(bx, by);
  const slot = windowAt(wx, wy);
  const fit = <usize>load<u32>(F_FITS_AT) + slot * fitBytes;
  let state = UNASKED;
  if ((bits & F_ASKED) !== 0 && (bits & F_NOISY) === 0) {
    state = KEPT;
    memory.fill(fit, 0, fitBytes);
  } else if ((bits & F_ASKED) !== 0) {
    state = FITTED;
    clearWindow();
    for (let by = top; by <= bottom; by++)
      for (let bx = left; bx <= right; bx++) addToWindow(bx, by, bx < wx ? -0.5 : 0.5, by < wy ? -0.5 : 0.5);
    columnsOf(bits);
    solve(low, high, fit);
  }
  store<u8>(<usize>load<u32>(F_STATES_AT) + slot, state);
}

/** Adds what the four windows over a block say of its pixels, by their weights. */
function write(bx: i32, by: i32): void {
  const width = load<i32>(F_WIDTH);
  const radius = load<i32>(F_RADIUS);
  const from = load<i32>(F_FROM);
  const flags: usize = load<u32>(F_FLAGS_AT);
  const states: usize = load<u32>(F_STATES_AT);
  const x0 = bx * radius;
  const y0 = by * radius;
  const x1 = min<i32>(width, x0 + radius);
  const y1 = min<i32>(load<i32>(F_TO), y0 + radius);
  let kept: u32 = 0;
  for (let w = 0; w < 4; w++) {
    const slot = windowAt(bx + (w & 1), by + (w >> 1));
    if (load<u8>(states + slot) === KEPT) kept |= 1 << w;
    quarter(w, <usize>load<u32>(F_FITS_AT) + slot * fitBytes);
  }
  for (let y = max<i32>(from, y0); y < y1; y++)
    for (let x = x0; x < x1; x++) {
      const p: usize = y * width + x;
      if ((load<u8>(flags + p) & F_ASKED) === 0) continue;
      writePixel(p, <usize>((y - from) * width + x), x - x0, y - y0, kept);
    }
}

/** Lays the fit of a block's window beside those of the others, moved from the window's middle to the block's. */
function quarter(w: i32, fit: usize): void {
  const bytes: usize = <usize>load<u32>(F_CHANNELS) << 2;
  const to = <usize>load<u32>(F_QUARTERS_AT) + (<usize>w << 4);
  // the block's middle, from the window's
  const a = f32x4.splat((w & 1) === 0 ? 0.5 : -0.5);
  const b = f32x4.splat(w < 2 ? 0.5 : -0.5);
  const two = f32x4.splat(2);
  const g: usize = F_METAL_COLUMNS * bytes;
  const step: usize = bytes << 2;
  for (let k: usize = 0; k < bytes; k += 16) {
    const at = fit + k;
    const out = to + (k << 2);
    for (let i: usize = 1; i < <usize>F_COLUMNS; i++) v128.store(out + i * step, v128.load(at + i * bytes));
    const m = f32x4.add(f32x4.mul(a, v128.load(at + bytes)), f32x4.mul(b, v128.load(at + 2 * bytes)));
    v128.store(out, f32x4.add(v128.load(at), m));
    const x = v128.load(at + g + bytes);
    const y = v128.load(at + g + 2 * bytes);
    const xx = f32x4.mul(a, v128.load(at + g + 3 * bytes));
    const xy = v128.load(at + g + 4 * bytes);
    const yy = f32x4.mul(b, v128.load(at + g + 5 * bytes));
    const alongX = f32x4.mul(a, f32x4.add(f32x4.add(x, xx), f32x4.mul(b, xy)));
    const alongY = f32x4.mul(b, f32x4.add(y, yy));
    const ground = out + F_METAL_COLUMNS * step;
    v128.store(ground, f32x4.add(v128.load(at + g), f32x4.add(alongX, alongY)));
    v128.store(ground + step, f32x4.add(x, f32x4.add(f32x4.mul(two, xx), f32x4.mul(b, xy))));
    v128.store(ground + 2 * step, f32x4.add(y, f32x4.add(f32x4.mul(two, yy), f32x4.mul(a, xy))));
  }
}

/** Lays the columns of a pixel at (u, v) from the block's middle; those that it has are [rowLow, rowHigh). */
function layRow(at: usize, u: f32, v: f32): void {
  const metal = load<f32>(at);
  const ground = load<f32>(at, 4);
  rowLow = metal === 0 ? F_METAL_COLUMNS : 0;
  rowHigh = ground === 0 ? F_METAL_COLUMNS : F_COLUMNS;
  store<f32>(ROW, metal);
  store<f32>(ROW, metal * u, 4);
  store<f32>(ROW, metal * v, 8);
  for (let f: usize = 12; f < FEATURE_BYTES; f += 4) store<f32>(ROW + f, load<f32>(at + f));
  const gu = ground * u;
  const gv = ground * v;
  store<f32>(ROW, ground, 48);
  store<f32>(ROW, gu, 52);
  store<f32>(ROW, gv, 56);
  store<f32>(ROW, gu * u, 60);
  store<f32>(ROW, gu * v, 64);
  store<f32>(ROW, gv * v, 68);
}

/** @param p the pixel among those held, @param o among those wanted, (x, y) in its block, `kept` bits of windows */
function writePixel(p: usize, o: usize, x: i32, y: i32, kept: u32): void {
  const radius = load<i32>(F_RADIUS);
  const fall: usize = load<u32>(F_FALL_AT);
  const wanted = load<f32>(<usize>load<u32>(F_WANTED_AT) + (o << 2));
  const left = load<f32>(fall + (<usize>x << 2));
  const right = load<f32>(fall + (<usize>(radius - 1 - x) << 2));
  const top = wanted * load<f32>(fall + (<usize>y << 2));
  const bottom = wanted * load<f32>(fall + (<usize>(radius - 1 - y) << 2));
  const s0 = f32x4.splat(left * top);
  const s1 = f32x4.splat(right * top);
  const s2 = f32x4.splat(left * bottom);
  const s3 = f32x4.splat(right * bottom);
  let asIs: f32 = 0;
  if ((kept & 1) !== 0) asIs += left * top;
  if ((kept & 2) !== 0) asIs += right * top;
  if ((kept & 4) !== 0) asIs += left * bottom;
  if ((kept & 8) !== 0) asIs += right * bottom;
  const half = <f32>0.5;
  const r = <f32>radius;
  layRow(<usize>load<u32>(F_FEATURES_AT) + p * FEATURE_BYTES, (<f32>x + half) / r - half, (<f32>y + half) / r - half);
  const bytes: usize = <usize>load<u32>(F_CHANNELS) << 2;
  const step: usize = bytes << 2;
  const quarters = <usize>load<u32>(F_QUARTERS_AT) + <usize>rowLow * step;
  const values = <usize>load<u32>(F_VALUES_AT) + p * bytes;
  const out = <usize>load<u32>(F_OUT_AT) + o * bytes;
  const own = f32x4.splat(asIs);
  for (let k: usize = 0; k < bytes; k += 16) {
    let t0 = f32x4.splat(0);
    let t1 = f32x4.splat(0);
    let t2 = f32x4.splat(0);
    let t3 = f32x4.splat(0);
    let at = quarters + (k << 2);
    for (let i = rowLow; i < rowHigh; i++) {
      const c = v128.load32_splat(ROW + (<usize>i << 2));
      t0 = f32x4.add(t0, f32x4.mul(c, v128.load(at)));
      t1 = f32x4.add(t1, f32x4.mul(c, v128.load(at, 16)));
      t2 = f32x4.add(t2, f32x4.mul(c, v128.load(at, 32)));
      t3 = f32x4.add(t3, f32x4.mul(c, v128.load(at, 48)));
      at += step;
    }
    const above = f32x4.add(f32x4.mul(s0, t0), f32x4.mul(s1, t1));
    const below = f32x4.add(f32x4.mul(s2, t2), f32x4.mul(s3, t3));
    const said = f32x4.add(f32x4.add(above, below), f32x4.mul(own, v128.load(values + k)));
    v128.store(out + k, f32x4.add(v128.load(out + k), said));
  }
}
