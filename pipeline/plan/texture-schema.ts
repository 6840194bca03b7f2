import { z } from 'zod';
import { TEXTURE_PATTERNS, TEXTURES } from '../trade/textures.ts';
import { length } from './measure.ts';
import { oneOf, strict } from './strict-object.ts';
import type { TextureDesign } from './texture-design.ts';

export const textureSchema = strict({
  pattern: oneOf(TEXTURE_PATTERNS).describe('what is cut; motif: a drawing of your own, again and again'),
  depth: length(0.02, 0.6)
    .optional()
    .describe('of its deepest places; as is usual for the pattern if left out'),
  size: length(0.3, 80)
    .optional()
    .describe(
      'from one fissure, grain, thread, line or motif to the next, evenly round the band; as is usual if left out',
    ),
  seed: z.int().min(0).max(999999).default(1).describe('another number, other marks; linen has none'),
  drawing: z
    .string()
    .min(1)
    .max(100_000)
    .optional()
    .describe('of a motif: closed outlines, as an SVG file of paths beside this file or as path data'),
  height: length(0.5, 15).optional().describe('of a motif, the whole drawing'),
  raised: z.boolean().default(false).describe('a motif stands and the metal about it is lowered'),
})
  .refine(
    ({ pattern, drawing, height }) => pattern !== 'motif' || (drawing !== undefined && height !== undefined),
    {
      error: () => 'a drawing and its height for the pattern "motif"',
    },
  )
  .describe('relief cut into the lane’s outer surface, as real metal');

export function textureDesign(written: z.output<typeof textureSchema>): TextureDesign {
  const { pattern, depth, size, seed, drawing, height, raised } = written;
  const usual = TEXTURES[pattern];
  const motif = pattern === 'motif' && drawing !== undefined && height !== undefined;
  return {
    pattern,
    depthMm: depth ?? usual.depthMm,
    sizeMm: size ?? usual.sizeMm,
    seed,
    ...(motif && { motif: { drawing, heightMm: height, raised } }),
  };
}
