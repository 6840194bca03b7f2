import { developFilm as displayed } from '../../picture/develop.ts';
import { toCodes } from '../../picture/srgb.ts';
import { WHITE_LEVEL } from '../../scene/ground.ts';
import type { Film } from '../../tracer/tracer.ts';
import type { Size } from './coarse-size.ts';

/** Shows sRGB codes, four bytes a pixel. */
export function paintCodes(
  canvas: HTMLCanvasElement,
  { width, height }: Size,
  codes: Uint8ClampedArray<ArrayBuffer>,
): void {
  if (canvas.width !== width || canvas.height !== height) {
    canvas.width = width;
    canvas.height = height;
  }
  canvas.getContext('2d', { colorSpace: 'srgb' })?.putImageData(new ImageData(codes, width, height), 0, 0);
}

/** Shows a film by the display transform of the pictures. */
export function paint(canvas: HTMLCanvasElement, film: Film): void {
  const { width, height } = film;
  const codes = toCodes(displayed(film, WHITE_LEVEL).data, width, height);
  const opaque = new Uint8ClampedArray(width * height * 4);
  for (let i = 0, o = 0; i < codes.length; i += 3, o += 4) {
    opaque[o] = codes[i];
    opaque[o + 1] = codes[i + 1];
    opaque[o + 2] = codes[i + 2];
    opaque[o + 3] = 255;
  }
  paintCodes(canvas, { width, height }, opaque);
}
