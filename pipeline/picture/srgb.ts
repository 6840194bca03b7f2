/**
 * sRGB transfer function and 8-bit codes (IEC 61966-2-1).
 */

/** Linear [0, 1] → sRGB [0, 1]. */
export function encodeSrgb(linear: number): number {
  return linear <= 0.0031308 ? 12.92 * linear : 1.055 * linear ** (1 / 2.4) - 0.055;
}

/** sRGB [0, 1] → linear [0, 1]. */
export function decodeSrgb(code: number): number {
  return code <= 0.04045 ? code / 12.92 : ((code + 0.055) / 1.055) ** 2.4;
}

let table: Float32Array | undefined;

/** Linear in steps of 1/65535 → sRGB code times 255, fractional. The steepest step is 0.05 codes. */
function codeTable(): Float32Array {
  table ??= Float32Array.from({ length: 65536 }, (_, i) => 255 * encodeSrgb(i / 65535));
  return table;
}

/**
 * Display-linear RGB (0 to 65535) → 8-bit sRGB, clipped and dithered so that soft gradients do not band.
 *
 * The dither is triangular, ±1 code wide, which makes mean and variance of the rounding error independent of
 * the signal (Lipshitz, Wannamaker and Vanderkooy 1992). It is a hash of the pixel's place, so the same film
 * always gives the same bytes, and it is the same for all three channels, so a neutral grey stays neutral.
 * Codes that would round to 255 or 0 anyway are not dithered: a white ground is 255 throughout.
 */
export function toCodes(linear: Float32Array, width: number, height: number): Uint8Array {
  const out = new Uint8Array(linear.length);
  layCodes(linear, width, height, out, 3);
  return out;
}

/** Lays these codes into `out`, with so many bytes from pixel to pixel. */
export function layCodes(
  linear: Float32Array,
  width: number,
  height: number,
  out: Uint8Array | Uint8ClampedArray,
  step: 3 | 4,
): void {
  const codes = codeTable();
  for (let y = 0, i = 0, o = 0; y < height; y++) {
    for (let x = 0; x < width; x++, i += 3, o += step) {
      const noise = triangular(x, y);
      for (let c = 0; c < 3; c++)
        out[o + c] = quantise(codes[Math.max(0, Math.min(65535, linear[i + c] + 0.5)) | 0], noise);
    }
  }
}

/** A fractional code as a whole one under noise in (−1, 1); what would round to 255 or 0 anyway does. */
export function quantise(code: number, noise: number): number {
  if (code >= 254.5) return 255;
  return code >= 0.5 ? Math.floor(code + 0.5 + noise) : 0;
}

/** Triangular noise in (−1, 1): the difference of two uniform hashes. */
export function triangular(x: number, y: number): number {
  const first = mix(Math.imul(x, 0x9e3779b1) ^ Math.imul(y + 0x7f4a7c15, 0x85ebca77));
  const second = mix(first ^ 0x68bc21eb);
  return (first - second) / 4294967296;
}

/** 32-bit finaliser (lowbias32, C. Wellons, public domain). */
function mix(v: number): number {
  let h = v | 0;
  h = Math.imul(h ^ (h >>> 16), 0x21f0aaad);
  h = Math.imul(h ^ (h >>> 15), 0x735a2d97);
  return (h ^ (h >>> 15)) >>> 0;
}
