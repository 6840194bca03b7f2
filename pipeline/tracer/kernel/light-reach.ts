import { GROUND_KIND, GROUND_NONE } from './layout';
import { lightIndex, nearestLight, toIndex, toT, toX, toY, toZ } from './studio';
import { occluded } from './tree';

/** Whether nothing stands between o, just above a surface, and the light that was just sampled from there. */
export function lightReaches(ox: f32, oy: f32, oz: f32): bool {
  const dist = toT;
  const index = toIndex;
  const qx = toX;
  const qy = toY;
  const qz = toZ;
  nearestLight(ox, oy, oz, qx, qy, qz, dist * <f32>0.9999);
  // ground can't come between: lights lie above it, or their part below it is dark
  const below = load<u32>(GROUND_KIND) !== GROUND_NONE && oy + qy * dist < 0;
  return !below && (lightIndex < 0 || lightIndex === index) && !occluded(ox, oy, oz, qx, qy, qz, dist);
}
