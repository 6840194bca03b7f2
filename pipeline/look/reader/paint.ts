import { developFilm } from '../../picture/develop.ts';
import { layCodes } from '../../picture/srgb.ts';
import { WHITE_LEVEL } from '../../scene/ground.ts';
import { meanFilm } from '../../tracer/film-state.ts';
import type { Size } from './coarse-size.ts';
import { fillBetween } from './half-picture.ts';
import type { ShownFilm } from './shown-film.ts';

/** Shows films and codes on one canvas. Its memory serves picture after picture: fresh memory costs more than the work in it. */
export class Painter {
  private readonly canvas: HTMLCanvasElement;
  private linear = new Float32Array(0);
  private image: ImageData | undefined;

  constructor(canvas: HTMLCanvasElement) {
    this.canvas = canvas;
  }

  /** Shows one colourway of a film by the display transform of the pictures. */
  film({ film, half, clean }: ShownFilm, plane: number): void {
    const { width, height } = film;
    const floats = width * height * 3;
    if (this.linear.length !== floats) this.linear = new Float32Array(floats);
    const data = clean?.data ?? meanFilm(film, plane, this.linear);
    if (half) fillBetween(data, width, height);
    developFilm({ width, height, data }, WHITE_LEVEL, this.linear);
    const image = this.imageOf(film);
    layCodes(this.linear, width, height, image.data, 4);
    this.put(image);
  }

  /** Shows sRGB codes, four bytes a pixel. */
  codes({ width, height }: Size, codes: Uint8ClampedArray<ArrayBuffer>): void {
    this.put(new ImageData(codes, width, height));
  }

  /** Opaque, and of this size. */
  private imageOf({ width, height }: Size): ImageData {
    if (this.image?.width !== width || this.image.height !== height)
      this.image = new ImageData(new Uint8ClampedArray(width * height * 4).fill(255), width, height);
    return this.image;
  }

  private put(image: ImageData): void {
    const { canvas } = this;
    const { width, height } = image;
    if (canvas.width !== width || canvas.height !== height) {
      canvas.width = width;
      canvas.height = height;
    }
    canvas.getContext('2d', { colorSpace: 'srgb' })?.putImageData(image, 0, 0);
  }
}
