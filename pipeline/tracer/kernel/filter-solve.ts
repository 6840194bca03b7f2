/** Solves the window at hand: least squares by Cholesky, in doubles. */
import { F_CHANNELS, F_COLUMNS, F_NOISE, F_PIVOTS, F_SUMS_HEAD, F_WINDOW_AT } from './filter-layout';

const NOISE: usize = F_NOISE;
const PIVOTS: usize = F_PIVOTS;
const COLUMN_BYTES: usize = F_COLUMNS << 3;

/** Leaves the fit of the window's columns [low, high) as floats, F_COLUMNS × channels of them; others are nothing. */
export function solve(low: i32, high: i32, fit: usize): void {
  const window: usize = load<u32>(F_WINDOW_AT);
  const channelBytes: usize = <usize>load<u32>(F_CHANNELS) << 3;
  const rowBytes = COLUMN_BYTES + channelBytes;
  const rows = window + F_SUMS_HEAD;
  const pixels = load<f64>(window);
  for (let i = low; i < high; i++) {
    const row = rows + <usize>i * rowBytes;
    const at = row + (<usize>i << 3);
    store<f64>(at, load<f64>(at) + pixels * load<f64>(NOISE + (<usize>i << 3)));
    factor(rows, row, rowBytes, low, i);
  }
  const right = rows + COLUMN_BYTES;
  for (let i = low; i < high; i++) {
    const row = rows + <usize>i * rowBytes;
    for (let k = low; k < i; k++)
      subtract(right + <usize>i * rowBytes, right + <usize>k * rowBytes, load<f64>(row + (<usize>k << 3)), channelBytes);
    scale(right + <usize>i * rowBytes, load<f64>(PIVOTS + (<usize>i << 3)), channelBytes);
  }
  memory.fill(fit, 0, F_COLUMNS * (channelBytes >> 1));
  for (let i = high - 1; i >= low; i--) {
    const own = right + <usize>i * rowBytes;
    for (let k = i + 1; k < high; k++)
      subtract(own, right + <usize>k * rowBytes, load<f64>(rows + <usize>k * rowBytes + (<usize>i << 3)), channelBytes);
    scale(own, load<f64>(PIVOTS + (<usize>i << 3)), channelBytes);
    const to = fit + <usize>i * (channelBytes >> 1);
    for (let at: usize = 0; at < channelBytes; at += 16)
      v128.store64_lane(to + (at >> 1), f32x4.demote_f64x2_zero(v128.load(own + at)), 0);
  }
}

/** Row i of the lower factor, from the rows before it. */
function factor(rows: usize, row: usize, rowBytes: usize, low: i32, i: i32): void {
  for (let j = low; j <= i; j++) {
    const other = rows + <usize>j * rowBytes;
    let pair = f64x2.splat(0);
    let k = low;
    for (; k + 1 < j; k += 2)
      pair = f64x2.add(pair, f64x2.mul(v128.load(row + (<usize>k << 3)), v128.load(other + (<usize>k << 3))));
    const at = row + (<usize>j << 3);
    let sum = load<f64>(at) - f64x2.extract_lane(pair, 0) - f64x2.extract_lane(pair, 1);
    if (k < j) sum -= load<f64>(row + (<usize>k << 3)) * load<f64>(other + (<usize>k << 3));
    if (j < i) store<f64>(at, sum * load<f64>(PIVOTS + (<usize>j << 3)));
    // held up by F_NOISE: what rounding leaves below it is no pivot
    else store<f64>(PIVOTS + (<usize>i << 3), 1 / sqrt<f64>(max<f64>(sum, 1e-12)));
  }
}

// @ts-ignore decorator
@inline
function subtract(to: usize, from: usize, factor: f64, bytes: usize): void {
  const f = f64x2.splat(factor);
  for (let at: usize = 0; at < bytes; at += 16)
    v128.store(to + at, f64x2.sub(v128.load(to + at), f64x2.mul(f, v128.load(from + at))));
}

// @ts-ignore decorator
@inline
function scale(at: usize, factor: f64, bytes: usize): void {
  const f = f64x2.splat(factor);
  for (let end = at + bytes; at < end; at += 16) v128.store(at, f64x2.mul(f, v128.load(at)));
}
