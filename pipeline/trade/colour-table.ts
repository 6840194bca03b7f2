import type { Alloy } from './alloy.ts';
import { ALLOYS } from './alloys.ts';
import type { Rgb } from './rgb.ts';

/** An alloy's colour: reflectance of its polished surface at normal incidence, in three notations. */
export interface AlloyColour {
  alloy: Alloy;
  /** linear Rec. 709, 0…1 */
  linear: Rgb;
  /** sRGB, 0…255 (IEC 61966-2-1) */
  srgb: Rgb;
  /** CIELAB under D65, 2° (CIE 15) */
  lab: readonly [l: number, a: number, b: number];
}

/** Linear Rec. 709 to CIE XYZ, D65 (IEC 61966-2-1). */
const XYZ = [
  [0.4124, 0.3576, 0.1805],
  [0.2126, 0.7152, 0.0722],
  [0.0193, 0.1192, 0.9505],
] as const;

/** CIELAB of a linear Rec. 709 colour, against the white that (1, 1, 1) gives. */
export function labOf(linear: Rgb): AlloyColour['lab'] {
  const f = XYZ.map((row) => {
    const white = row[0] + row[1] + row[2];
    const t = (row[0] * linear[0] + row[1] * linear[1] + row[2] * linear[2]) / white;
    return t > (6 / 29) ** 3 ? Math.cbrt(t) : t / (3 * (6 / 29) ** 2) + 4 / 29;
  });
  return [116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])];
}

function srgbCode(linear: number): number {
  const v = linear <= 0.0031308 ? 12.92 * linear : 1.055 * linear ** (1 / 2.4) - 0.055;
  return Math.round(255 * Math.min(1, Math.max(0, v)));
}

/** @throws RangeError for an alloy that is not in the table */
export function alloyColour(id: string): AlloyColour {
  const alloy = ALLOYS.get(id);
  if (!alloy) throw new RangeError(`no alloy is named ${id}; known: ${[...ALLOYS.keys()].join(', ')}`);
  return { alloy, linear: alloy.f0, srgb: alloy.f0.map(srgbCode) as Rgb, lab: labOf(alloy.f0) };
}
