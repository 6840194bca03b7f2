import { RELIEF_CENTRE, RELIEF_X } from './layout';

/** results of `locate`, mm: square to the finger, from where turns begin and a quarter turn on, and along the finger */
export let placeX: f32 = 0;
export let placeY: f32 = 0;
export let placeHeight: f32 = 0;

/** Where the point (x, y, z) of the world lies in the coordinates of the band that wears the surface record at `surface`. */
// @ts-ignore: decorator
@inline
export function locate(surface: usize, x: f32, y: f32, z: f32): void {
  const rx = x - load<f32>(surface, RELIEF_CENTRE);
  const ry = y - load<f32>(surface, RELIEF_CENTRE + 4);
  const rz = z - load<f32>(surface, RELIEF_CENTRE + 8);
  const ax = load<f32>(surface, 20);
  const ay = load<f32>(surface, 24);
  const az = load<f32>(surface, 28);
  const ex = load<f32>(surface, RELIEF_X);
  const ey = load<f32>(surface, RELIEF_X + 4);
  const ez = load<f32>(surface, RELIEF_X + 8);
  placeHeight = rx * ax + ry * ay + rz * az;
  placeX = rx * ex + ry * ey + rz * ez;
  placeY = rx * (ay * ez - az * ey) + ry * (az * ex - ax * ez) + rz * (ax * ey - ay * ex);
}
