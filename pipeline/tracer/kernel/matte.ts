/** The pixel's matte: how much of it objects cover, and what they leave of the ground's light where they don't. */
import { ofLevel } from './colours';
import { Path } from './path-state';

/** camera samples of the pixel that met no object, and the share of the ground's light that those still see */
let open: f32 = 0;
let through: f32 = 0;

export function clearMatte(): void {
  open = 0;
  through = 0;
}

/** The camera's ray meets no object. */
export function seeThrough(): void {
  open += 1;
  through += 1;
}

/** The objects take this light (negative) from the ground: counted where the camera sees that ground. */
export function shade(light: v128): void {
  if (Path.firstGround) through += ofLevel(light);
}

/** The pixel's matte over `samples`: coverage, then what shows through of a ground that only objects darken. */
export function pixelMatte(samples: f32): v128 {
  return f32x4(samples - open, through, 0, 0);
}
