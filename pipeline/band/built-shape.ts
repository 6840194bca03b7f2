/**
 * What the bench receives, as data. Coordinates: z along the finger axis, θ measured from +y (the top of the
 * band) towards +x, so a point at radius r is (r sin θ, r cos θ, z). Millimetres.
 */

import type { HeadsTowards } from '../plan/engraving-design.ts';
import type { CheckWords, Words } from '../trade/bench-words.ts';
import type { CutName } from '../trade/cuts.ts';

/** Indexed triangles, counter-clockwise seen from outside. Normals are per vertex, unit, outward. */
export interface TriMesh {
  /** 3 per vertex, mm */
  positions: Float32Array;
  /** 3 per vertex */
  normals: Float32Array;
  /** 3 per triangle */
  indices: Uint32Array;
}

export interface LaneSolid {
  name: string;
  mesh: TriMesh;
  volumeMm3: number;
  /** indices of the inlays beneath which this lane's metal runs on */
  under?: number[];
}

/** A convex stone. Local frame: girdle-plane centre at the origin, +z through the table. */
export interface StoneSolid {
  cut: CutName;
  /** width across the row; the diameter of round cuts */
  diameterMm: number;
  /** length along the row; absent for round cuts */
  lengthMm?: number;
  depthMm: number;
  /** half-spaces n·x ≤ d, four numbers each (nx, ny, nz, d), n unit */
  planes: Float64Array;
  /** flat-shaded mesh of the same planes */
  mesh: TriMesh;
  volumeMm3: number;
}

/** Equal stones of a row; a row of several sizes or sorts is several of these. */
export interface StoneRow {
  name: string;
  /** index of the stone they wear in a dress */
  slot: number;
  /** set into the bore */
  inside?: true;
  /** set into the side face at this edge */
  face?: 'first' | 'second';
  stone: StoneSolid;
  /** rigid placements, 12 numbers each: the rows of a 3×4 matrix from stone to band coordinates */
  placements: Float64Array;
  count: number;
  /** least distance between neighbouring girdles */
  gapMm: number;
}

/** What one stone fewer or more would make of a row. */
export interface FitStep {
  count: number;
  /** gap of stones spread over the row's coverage, negative where they would overlap; null where there is none */
  gapMm: number | null;
  fits: boolean;
  /** English */
  why: string;
  told: Words;
}

/** How the stones of a whole row fit the band. */
export interface RowFit {
  row: string;
  count: number;
  /** distance between the centres of neighbours; null for a single stone and where it differs */
  pitchMm: number | null;
  /** least distance between neighbouring girdles; null for a single stone */
  gapMm: number | null;
  leastGapMm: number;
  /** least metal beside seats, or between a field and the lane's sides */
  wallMm: number;
  /** least height of a culet above the bore */
  underCuletMm: number;
  /** null where the count cannot be changed by itself */
  fewer: FitStep | null;
  more: FitStep | null;
}

export interface BenchCheck {
  /** rule name, e.g. `floor-under-culet` */
  rule: string;
  severity: 'error' | 'warning' | 'info';
  passed: boolean;
  /** this, what was measured and where are in English */
  limit: string;
  measured: string;
  place: string;
  /** published source, `common practice` or `from memory` */
  source: string;
  /** why a failed rule is let pass, in the config's words */
  waived?: string;
  /** the English above, to be told in other languages */
  told: CheckWords;
}

export interface BackMeasures {
  widthMm: number;
  /** from the size's radius to the highest metal */
  thicknessMm: number;
}

/** Measures of a band whose edges run as its outline says, mm. */
export interface OutlineMeasures {
  /** square to its run, where it is narrowest and where it is widest */
  leastWidthMm: number;
  mostWidthMm: number;
  /** z of the first edge where it lies lowest, and of the second where it lies highest */
  fromZMm: number;
  toZMm: number;
}

/** Letters, beads and grooves of a shape, as a catalogue tells of them. */
export interface MarkFacts {
  engravings: {
    side: 'inside' | 'outside';
    /** of an outside line */
    lane?: string;
    text: string;
    style: string;
    heightMm: number;
    depthMm: number;
    /** from the first letter's edge to the last one's, along the surface */
    lengthMm: number;
    /** angle of the line's middle from the top */
    atDeg: number;
    /** edge that the heads of the letters stand towards */
    heads: HeadsTowards;
    /** lean of the walls from square to the surface */
    wallDeg: number;
    /** narrowest stroke */
    strokeMm: number;
  }[];
  milgrain: {
    /** name of the seam, or `edge` */
    along: string;
    lane: string;
    beadMm: number;
    pitchMm: number;
    count: number;
  }[];
  grooves: { along: string; widthMm: number; depthMm: number; profile: 'v' | 'round' }[];
}

export interface BuiltShape {
  lanes: LaneSolid[];
  rows: StoneRow[];
  /** one for each row of the design */
  fits: RowFit[];
  innerDiameterMm: number;
  circumferenceMm: number;
  /** at the top of the band */
  widthMm: number;
  /** from the size's radius to the highest metal, at the top of a tapered band */
  thicknessMm: number;
  /** of a tapered band, or one with a flat on top: the same at its back */
  back?: BackMeasures;
  /** thickness at the ends of a flat on top, which stand higher than anything else */
  highestMm?: number;
  /** absent where the edges run level, or only taper */
  outline?: OutlineMeasures & {
    /** z of the middle line by even steps of θ from the top, mm */
    middleMm: number[];
  };
  /** of wires over and under each other: pairs of lanes that touch; none where they are loose */
  touching?: [number, number][];
  /** absent for a band without any */
  marks?: MarkFacts;
  checks: BenchCheck[];
}
