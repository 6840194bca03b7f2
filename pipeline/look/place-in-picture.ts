import type { Camera, Vec3 } from '../scene/trace-scene.ts';
import { cross, dot, unit } from '../tracer/vector.ts';

/** What is needed to find a place of a band in its picture. */
export interface Stage {
  camera: Camera;
  /** world from band, for each band: 4 × 4, column by column */
  bands: number[][];
  /** x and z about which the bands turn, mm */
  middle: [number, number];
}

export interface InPicture {
  /** shares of the frame's width and height, from its top left */
  x: number;
  y: number;
  /** the band's outside faces away there */
  behind: boolean;
}

/**
 * Where a place on a band's outside is seen, as through a pinhole.
 * @param at mm, in the band's own frame: x and y across the finger, y to the top, z along it
 * @param aspect width over height of the frame
 */
export function placeInPicture(
  camera: Camera,
  toWorld: ArrayLike<number>,
  at: Vec3,
  aspect: number,
): InPicture {
  const m = toWorld;
  const turned = ([x, y, z]: Vec3): Vec3 => [
    m[0] * x + m[4] * y + m[8] * z,
    m[1] * x + m[5] * y + m[9] * z,
    m[2] * x + m[6] * y + m[10] * z,
  ];
  const { eye, target } = camera;
  const forward = unit([target[0] - eye[0], target[1] - eye[1], target[2] - eye[2]]);
  const right = unit(cross(forward, camera.up));
  const up = cross(right, forward);
  const [px, py, pz] = turned(at);
  const away: Vec3 = [px + m[12] - eye[0], py + m[13] - eye[1], pz + m[14] - eye[2]];
  const half = Math.tan(camera.fovY / 2) * dot(away, forward);
  return {
    x: 0.5 + dot(away, right) / (2 * half * aspect),
    y: 0.5 - dot(away, up) / (2 * half),
    behind: dot(turned([at[0], at[1], 0]), away) > 0,
  };
}
