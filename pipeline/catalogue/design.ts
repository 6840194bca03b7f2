import type { CutName } from '../trade/cuts.ts';

/**
 * The parsed design of one band: what a template, its overrides and one cell of the grid come to.
 * Lengths are millimetres, angles radians. Past this point values cannot be wrong in kind, only in geometry
 * (a lane too thin, a row too deep), which `band/` and `setting/` report.
 */

export type SectionName = 'flat' | 'd' | 'court' | 'flat-court' | 'concave';

/** Cross-section in (z, r): z across the width, r outward from the finger axis. */
export interface SectionDesign {
  name: SectionName;
  /**
   * outer dome sagitta: how much lower the outside is at the edges than at mid-width (0 for flat outsides); for the
   * concave section how much lower it is at mid-width than at the edges
   */
  domeMm: number;
  /** inner comfort sagitta: how much the bore opens from mid-width to the edges (0 for flat insides) */
  comfortMm: number;
  /** round softening of the two outside edges of the band */
  edgeMm: number;
  /** round softening of the two bore edges */
  boreEdgeMm: number;
}

/** A seam is a curve z(θ) round the band. θ = 0 is the top of the band. */
export type SeamDesign =
  | { kind: 'straight'; atMm: number }
  | {
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
  | {
      /** slowly from one side to the other over the top, and back underneath */
      kind: 'drift';
      /** z a quarter turn before the top (θ = −90°), and a quarter turn after it */
      fromMm: number;
      toMm: number;
      /** angle by which the crossing is turned from the top */
      phaseRad: number;
    }
  | {
      /** a periodic cubic spline */
      kind: 'points';
      /** three or more values of z, evenly spaced round the band in the sense of growing θ */
      zMm: number[];
      /** angle of the first */
      phaseRad: number;
    };

/** Overlapping marks of a domed planishing hammer over a lane's outer surface. */
export interface HammerDesign {
  /** diameter of one blow's mark on the smooth surface */
  facetMm: number;
  /** depth of a mark's middle below the smooth surface */
  depthMm: number;
  /** whole number; the same seed gives the same marks */
  seed: number;
}

export interface LaneDesign {
  name: string;
  /** depth of the lane's outer surface below the section's */
  recessMm: number;
  /** round softening radius where the lane's outer surface meets a seam */
  softenMm: number;
  /** absent for a smooth lane */
  hammer?: HammerDesign;
}

export type StoneCutName = CutName;

export type Coverage =
  | { kind: 'full' }
  | { kind: 'arc'; angleRad: number }
  /** one stone at each θ, wherever the row's gap and count would have put it */
  | { kind: 'angles'; anglesRad: number[] };

export type SettingDesign =
  | {
      style: 'shared-claws';
      clawDiameterMm: number;
      /** height of the claw tip above the girdle plane, measured along the stone's axis */
      clawHeightMm: number;
      /** how far each claw leans in over its stones, from the middle between their axes; none if absent */
      leanRad?: number;
    }
  | {
      /** stones between two walls, their girdles tucked under both */
      style: 'channel';
      /** width of the groove between the walls, as a share of the stone's width */
      openingShare: number;
    }
  | {
      /** round stones sunk until their tables lie level with the metal, whatever set depth the row gives */
      style: 'flush';
      /** how far the burnished metal reaches over the girdle's edge */
      lipMm: number;
    }
  | {
      /** stones in a field cut into the lane, each under rounded grains raised from the metal */
      style: 'grain';
      grainMm: number;
      /** four grains for each stone, or two in every gap that neighbours share */
      grains: 'own' | 'shared';
      /** floor of the field beside the girdles */
      fieldMm: number;
      /** depth of the field's floor below the lane's surface */
      fieldDepthMm: number;
      /** the field's walls are cut bright at 45°, not left steep */
      brightCut: boolean;
    }
  | { style: 'none' };

/** Stones of one kind in a row. */
export interface StoneSort {
  /** what axes of colour call it */
  name: string;
  cut: StoneCutName;
  /** width across the row; the diameter of round cuts */
  diameterMm: number;
  /** length along the row; absent for round cuts */
  lengthMm?: number;
}

/** A row of stones along the middle of a lane. */
export interface RowDesign extends StoneSort {
  /** name of the lane it runs on */
  lane: string;
  /** sorts that take turns with the row's own, in this order */
  alternate?: StoneSort[];
  /** one stone in the middle of the row that differs from all others */
  centre?: StoneSort;
  /** sizes fall evenly from the middle to the ends, or to the stone opposite; diameters are whole steps */
  graduate?: { toMm: number; stepMm: number };
  /** two lines this far apart, the second set into the gaps of the first */
  stagger?: { apartMm: number };
  coverage: Coverage;
  /** `fit`: the largest count that keeps the least gap */
  count: 'fit' | number;
  leastGapMm: number;
  /** depth of the girdle plane below the lane's surface (negative: proud of it) */
  setDepthMm: number;
  /** diameter of the through-hole under a stone, as a share of the stone's diameter */
  holeShare: number;
  /** metal left above the bore under the holes, which then do not go through */
  floorMm?: number;
  setting: SettingDesign;
}

/** The sorts of a row in the order in which a dress names their stones: its own, those taking turns, the centre. */
export function sortsOf(row: RowDesign): StoneSort[] {
  return [row, ...(row.alternate ?? []), ...(row.centre ? [row.centre] : [])];
}

/** Everything that decides solids. Colour and finish are not part of it. */
export interface ShapeDesign {
  /** inner circumference, ISO 8653: that of the smallest bore */
  circumferenceMm: number;
  widthMm: number;
  /** radial thickness at mid-width, before any recess */
  thicknessMm: number;
  section: SectionDesign;
  /** ordered by z, from −width/2 to +width/2 */
  seams: SeamDesign[];
  /** seams.length + 1 lanes, ordered by z */
  lanes: LaneDesign[];
  rows: RowDesign[];
  /** largest distance between the true surface and its triangles */
  chordToleranceMm: number;
}
