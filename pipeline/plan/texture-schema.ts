import * as z from 'zod';
import { TEXTURE_PATTERNS, TEXTURES } from '../trade/textures.ts';
import { GREY_PICTURE, lengthOfGrey } from './grey-picture.ts';
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
      'from one fissure, grain, thread, line, motif or picture to the next, evenly round the band; as is usual if left out, and pictures then edge to edge',
    ),
  seed: z.int().min(0).max(999999).default(1).describe('another number, other marks; linen has none'),
  drawing: z
    .string()
    .min(1)
    .max(100_000)
    .optional()
    .describe('of a motif: closed outlines, as an SVG file of paths beside this file or as path data'),
  picture: z
    .string()
    .max(100_000)
    .regex(GREY_PICTURE, { error: () => 'a PNG or JPEG file beside this one' })
    .optional()
    .describe('of a picture: a PNG or JPEG file beside this one; black is cut to the depth, white stays'),
  height: length(0.5, 15).optional().describe('of a motif or picture, the whole of it'),
  raised: z
    .boolean()
    .default(false)
    .describe('a motif, or what is dark of a picture, stands and the metal about it is lowered'),
})
  .refine(
    ({ pattern, drawing, height }) => pattern !== 'motif' || (drawing !== undefined && height !== undefined),
    {
      error: () => 'a drawing and its height for the pattern "motif"',
    },
  )
  .refine(
    ({ pattern, picture, height }) =>
      pattern !== 'picture' || (picture !== undefined && height !== undefined),
    { error: () => 'a picture and its height for the pattern "picture"' },
  )
  .describe('relief cut into the lane’s outer surface, as real metal');

export function textureDesign(written: z.output<typeof textureSchema>): TextureDesign {
  const { pattern, depth, size, seed, drawing, picture, height, raised } = written;
  const usual = TEXTURES[pattern];
  const motif = pattern === 'motif' && drawing !== undefined && height !== undefined;
  const grey =
    pattern === 'picture' && picture !== undefined && height !== undefined
      ? { grey: picture, heightMm: height, raised, seamless: size === undefined }
      : undefined;
  return {
    pattern,
    depthMm: depth ?? usual.depthMm,
    sizeMm: size ?? (grey ? lengthOfGrey(grey.grey) * grey.heightMm : usual.sizeMm),
    seed,
    ...(grey && { picture: grey }),
    ...(motif && { motif: { drawing, heightMm: height, raised } }),
  };
}
