import { z } from 'zod';
import { TEXTURE_PATTERNS, TEXTURES } from '../trade/textures.ts';
import { length } from './measure.ts';
import { oneOf, strict } from './strict-object.ts';
import type { TextureDesign } from './texture-design.ts';

export const textureSchema = strict({
  pattern: oneOf(TEXTURE_PATTERNS),
  depth: length(0.02, 0.6)
    .optional()
    .describe('of its deepest places; as is usual for the pattern if left out'),
  size: length(0.3, 8)
    .optional()
    .describe(
      'from one fissure, grain, thread or line to the next, evenly round the band; as is usual if left out',
    ),
  seed: z.int().min(0).max(999999).default(1).describe('another number, other marks; linen has none'),
}).describe('relief cut into the lane’s outer surface, as real metal');

export function textureDesign({ pattern, depth, size, seed }: z.output<typeof textureSchema>): TextureDesign {
  const usual = TEXTURES[pattern];
  return { pattern, depthMm: depth ?? usual.depthMm, sizeMm: size ?? usual.sizeMm, seed };
}
