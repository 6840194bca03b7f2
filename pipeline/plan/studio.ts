import type { Rgb } from '../trade/rgb.ts';

/** One rectangle of light, or a black card. Angles in radians, lengths in mm. */
export interface StudioPanel {
  /** from the camera's own azimuth, positive to the right, so that a studio follows the camera */
  azimuth: number;
  /** above the ground */
  elevation: number;
  /** from the aim point, the middle of the band */
  distance: number;
  width: number;
  height: number;
  /** relative radiance before metering; 0 is a black card */
  radiance: number;
  /** colour of the light, of luminance 1 */
  tint: Rgb;
  /** softbox falloff towards the edges, share of the half-edge */
  falloff: number;
  /** about the line of aim */
  turn: number;
  /** azimuth and elevation are from the lens, and it stands behind it however far that is; it looks as large from the band */
  lens?: true;
}

/** White paper under the subject that ends on a darker table, as metal and stones mirror it; lengths in mm. */
export interface PaperPlan {
  radius: number;
  fade: number;
  /** what is beyond it, as a share of the paper's reflectance */
  beyond: number;
}

/** A high dynamic range picture of all directions, latitude by longitude: Radiance (.hdr) or OpenEXR (.exr). */
export interface SkyPicture {
  /** absolute path; says nothing about light, so it is not part of content keys */
  file: string;
  /** SHA-256 of its bytes, hex */
  hash: string;
  /** turns about the vertical; at 0 the picture's middle is behind the band as the camera sees it */
  turn: number;
  /** relative brightness before metering: multiplies its values */
  light: number;
}

/** A studio as the scene lights it: nothing in it but what decides light. */
export interface StudioPlan {
  panels: StudioPanel[];
  /** relative dome radiance at evenly spaced elevations from −90° to +90°, at least two values; 0 under a picture */
  dome: number[];
  /** a picture of all directions in place of the dome */
  sky?: SkyPicture;
  /** radiance of bare white ground under the subject after metering; display white is 1 */
  groundRadiance: number;
  /** on white and clear ground; without it paper goes on for ever */
  paper?: PaperPlan;
}

/**
 * What the band stands on. `white`: shown as paper white wherever nothing shades it. `sweep`: tinted paper, lit as it
 * is. `gloss`: dark acrylic that mirrors the band. `clear`: no ground in the picture, its shadow in the alpha channel.
 */
export type GroundPlan =
  | { kind: 'white' | 'clear' }
  /** diffuse reflectance, linear Rec. 709 */
  | { kind: 'sweep'; colour: Rgb }
  /** diffuse reflectance of the body under the coat */
  | { kind: 'gloss'; colour: Rgb };
