import { developFilm as displayed } from '../../picture/develop.ts';
import { toCodes } from '../../picture/srgb.ts';
import { WHITE_LEVEL } from '../../scene/ground.ts';
import type { Film } from '../../tracer/tracer.ts';

/** Shows a film by the display transform of the pictures. */
export function paint(canvas: HTMLCanvasElement, film: Film): void {
  const { width, height } = film;
  const codes = toCodes(displayed(film, WHITE_LEVEL).data, width, height);
  const image = new ImageData(width, height);
  for (let i = 0, o = 0; i < codes.length; i += 3, o += 4) {
    image.data[o] = codes[i];
    image.data[o + 1] = codes[i + 1];
    image.data[o + 2] = codes[i + 2];
    image.data[o + 3] = 255;
  }
  if (canvas.width !== width || canvas.height !== height) {
    canvas.width = width;
    canvas.height = height;
  }
  canvas.getContext('2d', { colorSpace: 'srgb' })?.putImageData(image, 0, 0);
}
