/**
 * What the tracer eats: plain typed arrays, world space, millimetres, Y up, ground at y = 0.
 * Colours are linear Rec. 709. Nothing in here but `colourways` depends on colour, so one TraceScene
 * is traced once for all of them.
 */
import type { Pattern } from '../trade/matter.ts';

export type Vec3 = [number, number, number];

/** Fine marks of a finish, in the coordinates of a band: slopes of smooth noise in two octaves, of strokes, or of dents. */
export interface Relief {
  /** size of the coarser marks round the ring and over the section, mm */
  along: number;
  across: number;
  /** steepest slope of the coarser marks in either direction; the finer ones add up to 0.6 of it */
  slopeAlong: number;
  slopeAcross: number;
  /** of dents: 0 = bowls, steepest where they meet, 1 = flakes that lean as a whole; absent on strokes and grain */
  tilt?: number;
  /** in two directions, each so wide as the marks are; or in circles about spots that far apart */
  strokes?: 'crossed' | 'circles';
}

/** Where a band's own coordinates lie in the world. */
export interface ReliefFrame {
  centre: Vec3;
  /** unit, perpendicular to the surface's axis: where turns begin */
  x: Vec3;
  /** radius at which flanks begin to go down, mm */
  radius: number;
}

/** A metal surface with the Trowbridge–Reitz (GGX) roughness α = roughness², or a coat of that roughness over a body of colour. */
export interface Surface {
  /** microfacet α along and across the brushing direction; equal for isotropic finishes */
  alphaX: number;
  alphaY: number;
  /** index into `Colourway.metals` */
  metal: number;
  /**
   * anisotropy frame: the tangent is cross(axis, normal), i.e. round the ring for the finger axis.
   * Ignored when alphaX = alphaY.
   */
  axis: Vec3;
  /** absent on smooth finishes */
  relief?: Relief & ReliefFrame;
  /** refractive index of the coat over a body of colour; absent on metal */
  coat?: number;
  /** runs through the solid; of layers with the surface, by its number, where the second metal comes to light */
  pattern?: (Pattern & ReliefFrame) & { other?: number };
}

/** n(λ) = A + B/λ², λ in µm. Stones with B = 0 do not disperse. */
export interface GemOptics {
  cauchyA: number;
  cauchyB: number;
}

export interface StoneInstance {
  /** index into `cuts` */
  cut: number;
  /** index into `gems` and `Colourway.gems` */
  gem: number;
  /** rigid local→world, rows of a 3×4 matrix */
  toWorld: Float32Array;
}

/** One-sided rectangle (emits along cross(u, v)); seen from behind it is dark and it blocks light. */
export interface RectLight {
  /** centre */
  centre: Vec3;
  /** half-edge vectors, perpendicular */
  u: Vec3;
  v: Vec3;
  /** 0 for a black card */
  radiance: Vec3;
  /** 0 = hard-edged; share of the half-edge over which the radiance falls smoothly to zero, like a softbox */
  falloff: number;
}

export interface Camera {
  eye: Vec3;
  target: Vec3;
  up: Vec3;
  /** vertical field of view, radians */
  fovY: number;
  /** lens radius in mm, 0 = pinhole */
  lensRadius: number;
  focusDistance: number;
}

/**
 * `white`: a diffuse ground shown as `level` wherever nothing shades it, whatever the lights; used as a product
 * ground with contact shadow. `clear`: the same, and the take also gives a matte that tells band and shadow from
 * ground. `sweep`: a diffuse ground as the studio lights it, going on seamlessly above the horizon. `gloss`: the
 * same under a clear coat that mirrors; above the horizon stands the dome. `none`: rays that leave the scene show
 * `level`.
 */
export interface Ground {
  kind: 'white' | 'clear' | 'sweep' | 'gloss' | 'none';
  /** diffuse reflectance seen by reflected rays; of `gloss`, what is left of the body's under its coat */
  albedo: Vec3;
  /** film value of unshaded white ground and of the background above its horizon */
  level: number;
  /** of white and clear ground: what reflected rays meet beyond the paper under the subject; the camera never sees it */
  paper?: GroundPaper;
  /**
   * of white and clear ground: over this share of the way from the frame's edge to its middle its shading fades out by
   * 3x² − 2x³, rounded in the corners, so that each pixel at the frame's edge that shows ground is exactly `level`
   */
  rim?: number;
}

/** White paper that ends on a darker table: round, about the middle of the subject's bounds. mm */
export interface GroundPaper {
  radius: number;
  /** width of the ring over which it fades by 3x² − 2x³, above 0 */
  fade: number;
  /** albedo beyond it, as a share of the paper's */
  beyond: number;
}

/** Refractive index of a glossy ground's coat: acrylic, PMMA, n_D 1.49 (refractiveindex.info, from memory). */
export const COAT_INDEX = 1.49;

/** Reflectance of a metal at normal incidence and at 82° (F82 tint form of the Fresnel curve). */
export interface MetalColour {
  f0: Vec3;
  f82: Vec3;
}

/** What a body under a coat gives back of the light that enters it, in both its tones: alike but in wood. */
export interface BodyColour {
  tones: [Vec3, Vec3];
}

/** Colours of one colourway. */
export interface Colourway {
  /** of bodies where the surface has a coat */
  metals: (MetalColour | BodyColour)[];
  /** Napierian absorption per mm */
  gems: { absorption: Vec3 }[];
}

/** Radiance from every direction at infinity. */
export interface Sky {
  width: number;
  height: number;
  /** latitude by longitude, RGB each, straight up first; the middle of a row lies towards −z, its right towards +x */
  texels: Float32Array;
  /** turns about the vertical, which move the picture to the left */
  turn: number;
}

export interface TraceScene {
  mesh: {
    positions: Float32Array;
    normals: Float32Array;
    indices: Uint32Array;
    /** per triangle, index into `surfaces` */
    surface: Uint16Array;
  };
  surfaces: Surface[];
  /** half-spaces n·x ≤ d per cut, 4 floats each */
  cuts: Float32Array[];
  stones: StoneInstance[];
  gems: GemOptics[];
  lights: RectLight[];
  /** dome radiance at evenly spaced elevations from −90° (first) to +90° (last), RGB each, linear between */
  dome: Float32Array;
  /** a picture in place of the dome */
  sky?: Sky;
  ground: Ground;
  camera: Camera;
  width: number;
  height: number;
  colourways: Colourway[];
}
