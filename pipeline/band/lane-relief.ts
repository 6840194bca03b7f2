import { DEEPEST_BLOW, hammerField, hammerStep } from './hammer.ts';
import type { Lane } from './lane.ts';
import type { SurfaceField } from './surface-field.ts';
import { textureField, textureStep } from './texture.ts';

/** What the sweep presses into a lane's outer surface: hammer marks or a texture. */
export function reliefField(lane: Lane): SurfaceField | undefined {
  if (lane.hammer) return hammerField(lane, lane.hammer);
  return lane.texture && textureField(lane, lane.texture);
}

/** Longest mesh edge that shows it, mm. */
export function reliefStep({ hammer, texture }: Lane): number {
  if (hammer) return hammerStep(hammer);
  return texture ? textureStep(texture) : Number.POSITIVE_INFINITY;
}

/** The deepest it gets below the smooth surface, mm. */
export function deepestRelief({ hammer, texture }: Lane): number {
  return hammer ? DEEPEST_BLOW * hammer.depthMm : (texture?.depthMm ?? 0);
}
