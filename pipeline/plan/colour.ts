import * as z from 'zod';
import type { Rgb } from '../trade/rgb.ts';

/** Rec. ITU-R BT.709, item 3.2 */
export function luminance([r, g, b]: Rgb): number {
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

/** sRGB code 0…255 → linear light (IEC 61966-2-1). */
function linear(code: number): number {
  const c = code / 255;
  return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
}

const hex = z
  .string()
  .regex(/^#[0-9a-fA-F]{6}$/, { error: () => 'a colour such as "#d8cfc4"' })
  .transform((text): Rgb => {
    const code = (k: number) => linear(Number.parseInt(text.slice(1 + 2 * k, 3 + 2 * k), 16));
    return [code(0), code(1), code(2)];
  });

const channel = z.number().min(0).max(1);

/** A colour as `"#rrggbb"` (sRGB) or as three linear reflectances `[r, g, b]` from 0 to 1. */
export const colour = z.union([hex, z.tuple([channel, channel, channel])], {
  error: () => 'a colour such as "#d8cfc4", or [red, green, blue] in linear light from 0 to 1',
});
