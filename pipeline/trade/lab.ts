import type { Rgb } from './rgb.ts';

/** CIELAB (D65, 2°): L*, a*, b*. */
export type Lab = readonly [l: number, a: number, b: number];

/** CIE XYZ of the white of sRGB and the way from XYZ to linear Rec. 709 (IEC 61966-2-1, more digits by inversion). */
const WHITE = [0.95045593, 1, 1.08905775];
const TO_LINEAR = [
  [3.2409699, -1.5373832, -0.4986108],
  [-0.9692436, 1.8759675, 0.0415551],
  [0.0556301, -0.203977, 1.0569715],
];

/** Linear Rec. 709 of a CIELAB colour (CIE 15); below 0 where it lies outside. */
export function linearOfLab([l, a, b]: Lab): Rgb {
  const y = (l + 16) / 116;
  const xyz = [y + a / 500, y, y - b / 200].map(
    (f, i) => WHITE[i] * (f > 6 / 29 ? f ** 3 : 3 * (6 / 29) ** 2 * (f - 4 / 29)),
  );
  return TO_LINEAR.map((row) => row[0] * xyz[0] + row[1] * xyz[1] + row[2] * xyz[2]) as Rgb;
}
