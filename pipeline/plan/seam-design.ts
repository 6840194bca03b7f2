/**
 * Seams and what runs along them. Lengths are millimetres, angles radians; θ = 0 is the top of the band.
 */

/** z(θ) of a seam. How a kind is written in files is in `seam-kinds.ts`, its curve in `band/seam.ts`. */
export type SeamPath = StraightSeam | WaveSeam | DriftSeam | PointsSeam | PeakSeam;

export type SeamKindName = SeamPath['kind'];

/** The path of the kind of that name. */
export type PathOf<K extends SeamKindName> = Extract<SeamPath, { kind: K }>;

export interface StraightSeam {
  kind: 'straight';
  atMm: number;
}

export interface WaveSeam {
  kind: 'wave';
  /** mean z of the wave */
  atMm: number;
  /** half of the peak-to-peak height */
  amplitudeMm: number;
  /** whole number of waves round the band */
  periods: number;
  /** 0 = pure sine, towards 1 = flatter flanks and tighter crests */
  sharpness: number;
  phaseRad: number;
}

/** Slowly from one side to the other over the top, and back underneath. */
export interface DriftSeam {
  kind: 'drift';
  /** z a quarter turn before the top (θ = −90°), and a quarter turn after it */
  fromMm: number;
  toMm: number;
  /** angle by which the crossing is turned from the top */
  phaseRad: number;
}

/** Straight but for one peak: a V that is rounded at its tip and at its feet, or an arch. */
export interface PeakSeam {
  kind: 'peak';
  /** z beside the peak */
  atMm: number;
  /** of the peak above that; negative: towards the first edge */
  heightMm: number;
  /** angle from where it leaves the straight to where it is back */
  spanRad: number;
  /** 1 = an arch, towards 0 = a sharp V */
  roundness: number;
  /** angle by which the peak is turned from the top */
  phaseRad: number;
}

/** A periodic cubic spline. */
export interface PointsSeam {
  kind: 'points';
  /** three or more values of z round the band in the sense of growing θ */
  zMm: number[];
  /** of the values from the first one's place on, rising, less than a turn; evenly spaced if absent */
  anglesRad?: number[];
  /** angle from which they are counted */
  phaseRad: number;
}

/** A seam is a curve z(θ) round the band, and what runs along it. */
export type SeamDesign = SeamPath & {
  /** what messages call it */
  name?: string;
  marks?: SeamMarks;
};

/** A line of equal round beads, half sunk into the metal. */
export interface MilgrainDesign {
  /** diameter of a bead */
  beadMm: number;
  /** least distance between the centres of neighbours along the line; opened so that a whole number closes */
  pitchMm: number;
  /** of the two lanes beside a seam the one that carries the beads; the one that stands higher if absent */
  lane?: string;
}

/** A groove cut along a seam, into both lanes; it takes the place of their softening there. */
export interface GrooveDesign {
  /** between its rims, square to the seam */
  widthMm: number;
  /** of its bottom below the surface */
  depthMm: number;
  /** two straight flanks, or an arc */
  profile: 'v' | 'round';
}

/** What runs along a seam beside the seam itself. */
export interface SeamMarks {
  /** name of the seam in the template, for people */
  seam: string;
  milgrain?: MilgrainDesign;
  groove?: GrooveDesign;
}
