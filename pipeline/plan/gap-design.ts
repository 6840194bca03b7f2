/**
 * Gaps: where the band is parted, all through from the outside to the bore. Lengths along the band are measured at the
 * radius of its outside; mm and radians.
 */

interface AnyGap {
  name: string;
  /** angle of its middle */
  atRad: number;
  /** of the gap, at the outside */
  widthMm: number;
  /** round softening of its rims, at the outside and at the bore */
  softenMm: number;
}

/** The band opens: its two ends face each other across the gap. */
export interface OpenGap extends AnyGap {
  kind: 'open';
  /** radius of the ends' corners, seen from outside */
  roundMm: number;
}

/** The two ends pass each other side by side for a way. */
export interface BypassGap extends AnyGap {
  kind: 'bypass';
  /** angle over which they lie beside each other, from end to end of the gap */
  spanRad: number;
  roundMm: number;
  /** the edge that the gap leaves at its end before the middle, in the sense of growing θ */
  from: 'first' | 'second';
}

/** An eye in the band: two strands part and meet again. Eyes of one name are one gap with bars across it. */
export interface SplitGap extends AnyGap {
  kind: 'split';
  spanRad: number;
  /** its middle line, as a share of the way from the first edge to the second, and mm more */
  across: { share: number; mm: number };
}

export type GapDesign = OpenGap | BypassGap | SplitGap;
