/**
 * Film → display-linear frame, which is resized next (`resize.ts`). Nothing here needs more than JavaScript: the live
 * view shows films in the browser by it.
 *
 * Order: tone curve at full size, then resizing in linear light, then the sRGB transfer. Resizing the film
 * before the curve would let one glint of film value 50 outshine its neighbours and leave stair-steps along
 * every bright edge; resizing after the transfer would darken fine facets (light does not add in code values).
 * In between, light adds and nothing exceeds paper white.
 */
import type { Film } from '../tracer/tracer.ts';
import type { Rgb } from '../trade/rgb.ts';
import { toneCurve } from './tone.ts';

/** Level of paper white: linear pictures are scaled to the 16-bit range that sharp's linear path works in. */
export const PAPER_WHITE = 65535;

/** Linear light as the display emits it: 0 = black, `PAPER_WHITE` = paper white; RGB, top row first. */
export interface LinearPicture {
  width: number;
  height: number;
  data: Float32Array;
}

/**
 * @param white film level shown as paper white: the level of the scene's ground, see `tone.ts`
 * @param data where to put it; the film's own memory will do
 */
export function developFilm(
  film: Film,
  white = 1,
  data = new Float32Array(film.width * film.height * 3),
): LinearPicture {
  const count = film.width * film.height;
  if (film.data.length !== count * 3) {
    throw new RangeError(`expected ${count * 3} film values but received ${film.data.length}`);
  }
  const curve = toneCurve(white);
  const rgb: Rgb = [0, 0, 0];
  for (let i = 0; i < data.length; i += 3) {
    curve(film.data[i], film.data[i + 1], film.data[i + 2], rgb);
    data[i] = rgb[0] * PAPER_WHITE;
    data[i + 1] = rgb[1] * PAPER_WHITE;
    data[i + 2] = rgb[2] * PAPER_WHITE;
  }
  return { width: film.width, height: film.height, data };
}
