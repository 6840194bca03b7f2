import type { TexturePattern } from '../trade/textures.ts';

/** Relief of a lane's outer surface, never above the smooth one. */
export interface TextureDesign {
  pattern: TexturePattern;
  /** of the deepest places below the smooth surface */
  depthMm: number;
  /** from one fissure, grain, thread or line to the next; as near to it as goes evenly round the band */
  sizeMm: number;
  /** whole number; the same seed gives the same relief */
  seed: number;
}
