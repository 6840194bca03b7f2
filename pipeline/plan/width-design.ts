import type { SeamPath } from './seam-design.ts';

/** All that goes by shares of the width, as it is on a band of another width than that of the top. */
export interface OtherWidth {
  widthMm: number;
  /** z of the crest; as at the top if left out */
  crestMm?: number;
  /** widths of the chamfers at the first and the second edge; as at the top if left out */
  bevelMm?: [low: number, high: number];
  /** every seam as it would run on a band of this width */
  seams: SeamPath[];
}

/**
 * What the band comes to at its back (θ = 180°), going over from the top with (1 − cos θ)/2. Radii of curves, angles of
 * flats, softenings, recesses and the bore stay.
 */
export interface TaperDesign extends OtherWidth {
  thicknessMm: number;
}

/** A ring that a band lies against: its stone's head stands over the edge, and the band runs round it. */
export interface HeadDesign {
  /** diameter of the head as seen from above */
  headMm: number;
  /** width of that ring's shank, which lies along the band's edge */
  shankMm: number;
  /** least distance between the head and the band's edge */
  gapMm: number;
  /** edge that the ring lies against */
  edge: 'first' | 'second';
  /** how far round the band it turns aside; what suits the head if absent */
  spanRad?: number;
  /** 1 = an arch, towards 0 = a V */
  roundness: number;
}

/** Where the edges of a band run that are no level circles. Its section is shifted along the finger and cut wider or narrower. */
export interface OutlineDesign {
  /** z of the middle line, from which everything across the band is measured; level if absent */
  middle?: SeamPath;
  /** takes the place of `middle` */
  around?: HeadDesign;
  /** the width round the band, told by the path's z; that of the top and the back if absent */
  width?: SeamPath;
  /** whether widths are meant square to the middle line or along the finger */
  measured: 'square' | 'finger';
  other: OtherWidth;
}

/** A level place on top of the band, across its whole width, with straight shoulders down to the outside beside it. */
export interface FlatDesign {
  /** along the band, from one end to the other if they were sharp */
  lengthMm: number;
  /** of the flat over the outside that the band would have at its top; negative where it is cut into that */
  riseMm: number;
  /** radius that rounds its ends */
  edgeMm: number;
}
