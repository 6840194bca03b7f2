/**
 * The difference of both halves' sums in a pixel, as the error estimate needs it: three 7-bit mantissas with signs and one
 * exponent, four bytes. Rounding, by 1/128 of the largest channel at most, is nothing beside what chance makes of the
 * difference. Sums are kept whole, since they are the picture; differences only say when to stop.
 */

const float = new Float32Array(1);
const bits = new Uint32Array(float.buffer);
/** 2^(133 − e) over the biased exponent of a float: brings values below its next power of two into ±128 */
const UP = Float64Array.from({ length: 257 }, (_, e) => 2 ** (133 - e));
const DOWN = UP.map((up) => 1 / up);

/** Adds a difference to the packed one at byte `at`. */
export function addSplit(packed: Int8Array, at: number, r: number, g: number, b: number): void {
  const down = DOWN[packed[at + 3] & 255];
  const x = packed[at] * down + r;
  const y = packed[at + 1] * down + g;
  const z = packed[at + 2] * down + b;
  const most = Math.max(Math.abs(x), Math.abs(y), Math.abs(z));
  float[0] = most;
  let e = bits[0] >>> 23;
  // what rounds up to the next power of two goes by its exponent
  if (most * UP[e] >= 127.5) e++;
  const up = UP[e];
  packed[at] = Math.round(x * up);
  packed[at + 1] = Math.round(y * up);
  packed[at + 2] = Math.round(z * up);
  packed[at + 3] = e;
}

/** What one step of a packed pixel's mantissas is worth. */
export function splitUnit(packed: Int8Array, at: number): number {
  return DOWN[packed[at + 3] & 255];
}
