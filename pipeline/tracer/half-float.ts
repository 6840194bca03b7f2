/**
 * IEEE 754 binary16: 11 significant bits, largest value 65504.
 */

const float = new Float32Array(1);
const bits = new Uint32Array(float.buffer);

/** Rounds to nearest, ties to even; beyond ±65504 the largest finite value, NaN becomes 0. */
export function toHalf(value: number): number {
  if (Number.isNaN(value)) return 0;
  float[0] = Math.max(-65504, Math.min(65504, value));
  const b = bits[0];
  const sign = (b >>> 16) & 0x8000;
  const magnitude = b & 0x7fffffff;
  if (magnitude < 0x38800000) {
    // below 2^-14 halves are multiples of 2^-24
    const steps = Math.abs(float[0]) * 16777216;
    const down = Math.floor(steps);
    const rest = steps - down;
    return sign | (down + (rest > 0.5 || (rest === 0.5 && down & 1) ? 1 : 0));
  }
  // re-bias the exponent and round the 13 bits that go
  return sign | ((magnitude - 0x38000000 + 0xfff + ((magnitude >>> 13) & 1)) >>> 13);
}

export function fromHalf(half: number): number {
  const sign = half & 0x8000 ? -1 : 1;
  const exponent = (half >>> 10) & 31;
  const fraction = half & 1023;
  if (exponent === 0) return sign * fraction * 2 ** -24;
  if (exponent === 31) return fraction ? Number.NaN : sign * Number.POSITIVE_INFINITY;
  return sign * (1 + fraction / 1024) * 2 ** (exponent - 15);
}
