/**
 * The film filter's sums, a module of its own (`film-filter.ts` says what they are for): fits the windows of one row and
 * adds what they say to the pixels. Normal equations and their solution are in doubles, two at a time, in the order of
 * pixels; what a fit comes to in a pixel is in floats, four at a time.
 */
import { FEATURES } from './layout';
import {
  F_ASKED,
  F_CELL_FEATURES_AT,
  F_CELL_VALUES_AT,
  F_CELLS_ROWS,
  F_CELLS_TOP,
  F_CELLS_WIDE,
  F_CHANNELS,
  F_COLUMNS,
  F_FALL_AT,
  F_FEATURES_AT,
  F_FIT_AT,
  F_FLAGS_AT,
  F_GROUND,
  F_GROUND_COLUMNS,
  F_MATRIX,
  F_METAL,
  F_METAL_COLUMNS,
  F_MIDDLE,
  F_NOISE,
  F_NOISY,
  F_OPEN,
  F_OUT_AT,
  F_RADIUS,
  F_RIGHT_AT,
  F_ROW,
  F_ROWS,
  F_SIDE,
  F_TOP,
  F_VALUES_AT,
  F_WANTED_AT,
  F_WEIGHT_AT,
  F_WIDTH,
  F_WINDOWS,
} from './filter-layout';

const MATRIX: usize = F_MATRIX;
const ROW: usize = F_ROW;
const NOISE: usize = F_NOISE;
const METAL: usize = 0;
const GROUND: usize = 4;
const FEATURE_BYTES: usize = FEATURES << 2;
/** bytes of a row of the matrix */
const STRIDE: usize = F_COLUMNS << 3;

/** the window at hand: what it shows, its columns, and the first of them */
let metal = false;
let ground = false;
let columns: i32 = 0;
let first: i32 = 0;
/** columns of the pixel at hand that are not nothing: [low, high) */
let low: i32 = 0;
let high: i32 = 0;

export function fitRow(): void {
  const radius = load<i32>(F_RADIUS);
  const count = load<i32>(F_WINDOWS);
  for (let w = 0; w < count; w++) {
    const cx = w * radius;
    const shown = shownIn(cx);
    if ((shown & F_ASKED) === 0) continue;
    if ((shown & F_NOISY) === 0) {
      keep(cx);
      continue;
    }
    metal = (shown & F_METAL) !== 0;
    ground = (shown & F_GROUND) !== 0;
    columns = (metal ? F_METAL_COLUMNS : 0) + (ground ? F_GROUND_COLUMNS : 0);
    first = metal ? 0 : F_METAL_COLUMNS;
    gather(cx);
    solve();
    spread(cx);
  }
}

/** Bits of all pixels of the window about cx. */
function shownIn(cx: i32): u32 {
  const width = load<i32>(F_WIDTH);
  const top = load<i32>(F_TOP);
  const radius = load<i32>(F_RADIUS);
  const cy = load<i32>(F_MIDDLE);
  const flags: usize = load<u32>(F_FLAGS_AT);
  const x0 = max<i32>(0, cx - radius);
  const x1 = min<i32>(width, cx + radius + 1);
  const y1 = min<i32>(top + load<i32>(F_ROWS), cy + radius + 1);
  let bits: u32 = 0;
  for (let y = max<i32>(top, cy - radius); y < y1; y++) {
    const row = flags + <usize>((y - top) * width);
    for (let x = x0; x < x1; x++) bits |= load<u8>(row + <usize>x);
  }
  return bits;
}

/** Lays the columns of a pixel or cell with these features at (x, y) from the window's middle, in radii. */
function lay(at: usize, x: f64, y: f64): void {
  const ofMetal = <f64>load<f32>(at, METAL);
  const ofGround = <f64>load<f32>(at, GROUND);
  low = metal && ofMetal === 0 ? F_METAL_COLUMNS : 0;
  high = columns;
  let to: usize = ROW;
  if (metal) {
    if (low === 0) {
      store<f64>(to, ofMetal);
      store<f64>(to, ofMetal * x, 8);
      store<f64>(to, ofMetal * y, 16);
      for (let f: usize = 3; f < <usize>FEATURES; f++) store<f64>(to + (f << 3), <f64>load<f32>(at + (f << 2)));
    }
    to += F_METAL_COLUMNS << 3;
  }
  if (!ground) return;
  if (ofGround === 0) {
    high = columns - F_GROUND_COLUMNS;
    return;
  }
  const gx = ofGround * x;
  const gy = ofGround * y;
  store<f64>(to, ofGround);
  store<f64>(to, gx, 8);
  store<f64>(to, gy, 16);
  store<f64>(to, gx * x, 24);
  store<f64>(to, gx * y, 32);
  store<f64>(to, gy * y, 40);
}

/** Sets up the normal equations of the window about cx. */
function gather(cx: i32): void {
  const channels: usize = load<u32>(F_CHANNELS);
  const side = load<i32>(F_SIDE);
  const wide = load<i32>(F_CELLS_WIDE);
  const top = load<i32>(F_CELLS_TOP);
  const radius = load<i32>(F_RADIUS);
  const cy = load<i32>(F_MIDDLE);
  const right: usize = load<u32>(F_RIGHT_AT);
  const rightStride = channels << 3;
  memory.fill(MATRIX, 0, <usize>columns * STRIDE);
  memory.fill(right, 0, <usize>columns * rightStride);
  const x0 = max<i32>(0, cellBefore(cx - radius, side));
  const x1 = min<i32>(wide - 1, (cx + radius) / side);
  const y1 = min<i32>(top + load<i32>(F_CELLS_ROWS) - 1, (cy + radius) / side);
  const middle = <f64>(side - 1) / 2;
  let pixels: f64 = 0;
  for (let y = max<i32>(top, cellBefore(cy - radius, side)); y <= y1; y++) {
    for (let x = x0; x <= x1; x++) {
      const cell: usize = (y - top) * wide + x;
      const w = <f64>load<f32>(<usize>load<u32>(F_WEIGHT_AT) + (cell << 2));
      if (w === 0) continue;
      pixels += w;
      lay(
        <usize>load<u32>(F_CELL_FEATURES_AT) + cell * FEATURE_BYTES,
        (<f64>(x * side) + middle - <f64>cx) / <f64>radius,
        (<f64>(y * side) + middle - <f64>cy) / <f64>radius,
      );
      const values = <usize>load<u32>(F_CELL_VALUES_AT) + cell * (channels << 2);
      const pairs = low & ~1;
      for (let i = low; i < high; i++) {
        const c = w * load<f64>(ROW + (<usize>i << 3));
        if (c === 0) continue;
        const c2 = f64x2.splat(c);
        const row: usize = MATRIX + <usize>i * STRIDE;
        for (let j = pairs; j <= i; j += 2) {
          const at = <usize>j << 3;
          v128.store(row + at, f64x2.add(v128.load(row + at), f64x2.mul(c2, v128.load(ROW + at))));
        }
        let to = right + <usize>i * rightStride;
        for (let k: usize = 0; k < channels; k += 2) {
          const v = f64x2.promote_low_f32x4(v128.load64_zero(values + (k << 2)));
          v128.store(to, f64x2.add(v128.load(to), f64x2.mul(c2, v)));
          to += 16;
        }
      }
    }
  }
  for (let i = 0; i < columns; i++) {
    const at: usize = MATRIX + <usize>i * (STRIDE + 8);
    store<f64>(at, load<f64>(at) + pixels * load<f64>(NOISE + (<usize>(first + i) << 3)));
  }
}

/** Division that goes down for negative numbers too. */
function cellBefore(x: i32, side: i32): i32 {
  return x >= 0 ? x / side : -((side - 1 - x) / side);
}

/** Solves the symmetric positive definite system in place (Cholesky) and leaves the fit as floats. */
function solve(): void {
  const channels: usize = load<u32>(F_CHANNELS);
  const right: usize = load<u32>(F_RIGHT_AT);
  const fit: usize = load<u32>(F_FIT_AT);
  const stride = channels << 3;
  for (let i = 0; i < columns; i++) {
    const row: usize = MATRIX + <usize>i * STRIDE;
    for (let j = 0; j <= i; j++) {
      const other: usize = MATRIX + <usize>j * STRIDE;
      let sum = load<f64>(row + (<usize>j << 3));
      for (let k = 0; k < j; k++) sum -= load<f64>(row + (<usize>k << 3)) * load<f64>(other + (<usize>k << 3));
      // held up by F_NOISE: what rounding leaves below it is no pivot
      store<f64>(
        row + (<usize>j << 3),
        i === j ? sqrt<f64>(max<f64>(sum, 1e-12)) : sum / load<f64>(other + (<usize>j << 3)),
      );
    }
  }
  for (let c: usize = 0; c < channels; c += 2) {
    const column = right + (c << 3);
    for (let i = 0; i < columns; i++) {
      const row: usize = MATRIX + <usize>i * STRIDE;
      const at = column + <usize>i * stride;
      let sum = v128.load(at);
      for (let k = 0; k < i; k++)
        sum = f64x2.sub(sum, f64x2.mul(v128.load64_splat(row + (<usize>k << 3)), v128.load(column + <usize>k * stride)));
      v128.store(at, f64x2.div(sum, v128.load64_splat(row + (<usize>i << 3))));
    }
    for (let i = columns - 1; i >= 0; i--) {
      const at = column + <usize>i * stride;
      let sum = v128.load(at);
      for (let k = i + 1; k < columns; k++)
        sum = f64x2.sub(
          sum,
          f64x2.mul(
            v128.load64_splat(MATRIX + <usize>k * STRIDE + (<usize>i << 3)),
            v128.load(column + <usize>k * stride),
          ),
        );
      sum = f64x2.div(sum, v128.load64_splat(MATRIX + <usize>i * (STRIDE + 8)));
      v128.store(at, sum);
      v128.store64_lane(fit + ((<usize>i * channels + c) << 2), f32x4.demote_f64x2_zero(sum), 0);
    }
  }
}

/** Share of the window about cx that a pixel takes, times what is wanted there. */
function shareOf(cx: i32, x: i32, dy: i32, pixel: usize): f64 {
  const fall: usize = load<u32>(F_FALL_AT);
  const dx = x < cx ? cx - x : x - cx;
  return (
    load<f64>(fall + (<usize>dx << 3)) *
    load<f64>(fall + (<usize>dy << 3)) *
    <f64>load<f32>(<usize>load<u32>(F_WANTED_AT) + (pixel << 2))
  );
}

/** Adds what the fit says of the window's pixels, by their weights. */
function spread(cx: i32): void {
  const width = load<i32>(F_WIDTH);
  const top = load<i32>(F_TOP);
  const radius = load<i32>(F_RADIUS);
  const cy = load<i32>(F_MIDDLE);
  const channels: usize = load<u32>(F_CHANNELS);
  const flags: usize = load<u32>(F_FLAGS_AT);
  const features: usize = load<u32>(F_FEATURES_AT);
  const out: usize = load<u32>(F_OUT_AT);
  const fit: usize = load<u32>(F_FIT_AT);
  const stride = channels << 2;
  const x0 = max<i32>(0, cx - radius + 1);
  const x1 = min<i32>(width, cx + radius);
  const y1 = min<i32>(top + load<i32>(F_ROWS), cy + radius);
  for (let y = max<i32>(top, cy - radius + 1); y < y1; y++) {
    const dy = y < cy ? cy - y : y - cy;
    for (let x = x0; x < x1; x++) {
      const p: usize = (y - top) * width + x;
      if ((load<u8>(flags + p) & F_OPEN) === 0) continue;
      const share = shareOf(cx, x, dy, p);
      if (share === 0) continue;
      lay(features + p * FEATURE_BYTES, <f64>(x - cx) / <f64>radius, <f64>(y - cy) / <f64>radius);
      const weight = f32x4.splat(<f32>share);
      for (let k: usize = 0; k < stride; k += 16) {
        let sum = f32x4.splat(0);
        let from = fit + k + <usize>low * stride;
        for (let i = low; i < high; i++) {
          sum = f32x4.add(sum, f32x4.mul(f32x4.splat(<f32>load<f64>(ROW + (<usize>i << 3))), v128.load(from)));
          from += stride;
        }
        const to = out + p * stride + k;
        v128.store(to, f32x4.add(v128.load(to), f32x4.mul(weight, sum)));
      }
    }
  }
}

/** Adds pixels as they are, by their weights. */
function keep(cx: i32): void {
  const width = load<i32>(F_WIDTH);
  const top = load<i32>(F_TOP);
  const radius = load<i32>(F_RADIUS);
  const cy = load<i32>(F_MIDDLE);
  const stride: usize = load<u32>(F_CHANNELS) << 2;
  const flags: usize = load<u32>(F_FLAGS_AT);
  const values: usize = load<u32>(F_VALUES_AT);
  const out: usize = load<u32>(F_OUT_AT);
  const x0 = max<i32>(0, cx - radius + 1);
  const x1 = min<i32>(width, cx + radius);
  const y1 = min<i32>(top + load<i32>(F_ROWS), cy + radius);
  for (let y = max<i32>(top, cy - radius + 1); y < y1; y++) {
    const dy = y < cy ? cy - y : y - cy;
    for (let x = x0; x < x1; x++) {
      const p: usize = (y - top) * width + x;
      if ((load<u8>(flags + p) & F_OPEN) === 0) continue;
      const weight = f32x4.splat(<f32>shareOf(cx, x, dy, p));
      for (let k: usize = 0; k < stride; k += 16) {
        const to = out + p * stride + k;
        v128.store(to, f32x4.add(v128.load(to), f32x4.mul(weight, v128.load(values + p * stride + k))));
      }
    }
  }
}
