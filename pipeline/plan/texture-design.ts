import type { TexturePattern } from '../trade/textures.ts';

/** A drawing that stands in a row round the band. */
export interface MotifDesign {
  /** closed outlines as path data of SVG */
  drawing: string;
  /** of the whole drawing */
  heightMm: number;
  /** it stands, and the metal about it is lowered; else it is cut */
  raised: boolean;
}

/** A grey picture that stands in a row round the band, or goes round it edge to edge. */
export interface PictureDesign {
  /** its grey values, as `grey-picture.ts` reads them */
  grey: string;
  /** of the whole picture, across the lane */
  heightMm: number;
  /** what is dark stands, and the metal about it is lowered; else it is cut */
  raised: boolean;
  /** it is drawn out or in so far that it closes round the band with no metal between */
  seamless: boolean;
}

/** Relief of a lane's outer surface, never above the smooth one. */
export interface TextureDesign {
  pattern: TexturePattern;
  /** of the deepest places below the smooth surface */
  depthMm: number;
  /** from one fissure, grain, thread or line to the next; as near to it as goes evenly round the band */
  sizeMm: number;
  /** whole number; the same seed gives the same relief */
  seed: number;
  /** of the pattern `motif` */
  motif?: MotifDesign;
  /** of the pattern `picture` */
  picture?: PictureDesign;
}
