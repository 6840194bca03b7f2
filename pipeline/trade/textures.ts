/** Patterns that are cut into a lane as true relief, each with its usual measures in mm. */
export interface Texture {
  id: TexturePattern;
  /** deepest places below the smooth surface */
  depthMm: number;
  /** from one fissure, grain, thread, line or motif to the next */
  sizeMm: number;
  source: string;
}

export const TEXTURE_PATTERNS = ['bark', 'sand-cast', 'linen', 'florentine', 'motif', 'picture'] as const;
export type TexturePattern = (typeof TEXTURE_PATTERNS)[number];

/** Measures are judged by eye against photographs of finished bands; no standard gives them. */
const SOURCE = 'common practice';

export const TEXTURES: Readonly<Record<TexturePattern, Texture>> = {
  bark: { id: 'bark', depthMm: 0.16, sizeMm: 1.3, source: SOURCE },
  'sand-cast': { id: 'sand-cast', depthMm: 0.1, sizeMm: 0.8, source: SOURCE },
  linen: { id: 'linen', depthMm: 0.08, sizeMm: 0.6, source: SOURCE },
  florentine: {
    id: 'florentine',
    depthMm: 0.06,
    sizeMm: 0.4,
    source: `${SOURCE}: fine crossed lines of a liner graver`,
  },
  motif: { id: 'motif', depthMm: 0.12, sizeMm: 4, source: SOURCE },
  // of whatever length the picture has
  picture: { id: 'picture', depthMm: 0.15, sizeMm: 4, source: SOURCE },
};
