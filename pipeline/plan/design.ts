import type { CutName } from '../trade/cuts.ts';
import type { EngravingsDesign } from './engraving-design.ts';
import type { GapDesign } from './gap-design.ts';
import type { MilgrainDesign, SeamDesign } from './seam-design.ts';
import type { SettingDesign } from './setting-design.ts';
import type { StrandsDesign } from './strands-design.ts';
import type { TextureDesign } from './texture-design.ts';
import type { FlatDesign, OutlineDesign, TaperDesign } from './width-design.ts';

/**
 * The parsed design of one band: what a template, its overrides and one cell of the grid come to.
 * Lengths are millimetres, angles radians. Past this point values cannot be wrong in kind, only in geometry
 * (a lane too thin, a row too deep), which `band/` and `setting/` report.
 */

interface SectionKind {
  /** its outside is one dome (1) or one hollow (−1), or neither: level, or made of flats (0) */
  dome: 1 | 0 | -1;
  /** its bore opens towards the edges */
  comfort: boolean;
  /** which measures its flats have, where it is made of flats */
  flats?: 'bevel' | 'ridge';
}

/** What the name of a section says of its curves. The outside of each is drawn in `band/outside.ts`. */
const SECTIONS = {
  flat: { dome: 0, comfort: false },
  d: { dome: 1, comfort: false },
  court: { dome: 1, comfort: true },
  'flat-court': { dome: 0, comfort: true },
  concave: { dome: -1, comfort: true },
  bevelled: { dome: 0, comfort: true, flats: 'bevel' },
  'knife-edge': { dome: 0, comfort: true, flats: 'ridge' },
} as const satisfies Record<string, SectionKind>;

export type SectionName = keyof typeof SECTIONS;

export const SECTION_NAMES = Object.keys(SECTIONS) as SectionName[];

export function sectionKind(name: SectionName): SectionKind {
  return SECTIONS[name];
}

/** Cross-section in (z, r): z across the width, r outward from the finger axis. */
export interface SectionDesign {
  name: SectionName;
  /**
   * outer dome sagitta: how much lower the outside is at the edges than at mid-width (0 for flat outsides); for the
   * concave section how much lower it is at mid-width than at the edges
   */
  domeMm: number;
  /** the same from the crest to the second edge (+z), where it differs */
  farDomeMm?: number;
  /** z of the highest place of the outside (of the lowest of a concave one) at the top of the band; 0 if left out */
  crestMm?: number;
  /** chamfers of the bevelled section: widths from where the outside ends, angles from level */
  bevel?: { lowMm: number; highMm: number; lowRad: number; highRad: number; roundMm: number };
  /** flats of the knife-edge section: angles from level, and the radius of the ridge between them */
  ridge?: { lowRad: number; highRad: number; roundMm: number };
  /** a lower, level shoulder along the edges of the band; every measure of the outside ends at its riser */
  step?: StepDesign;
  /** inner comfort sagitta: how much the bore opens from mid-width to the edges (0 for flat insides) */
  comfortMm: number;
  /** round softening of the two outside edges of the band */
  edgeMm: number;
  /** that of the second edge (+z), where it differs */
  farEdgeMm?: number;
  /** round softening of the two bore edges */
  boreEdgeMm: number;
}

/** A shoulder along one edge (low: −z) or both. */
export interface StepDesign {
  sides: 'low' | 'high' | 'both';
  widthMm: number;
  /** of the shoulder below the outside at the riser */
  depthMm: number;
  /** round softening at the top of the riser */
  softenMm: number;
  /** radius of the hollow at its foot */
  footMm: number;
}

/** Overlapping marks of a domed planishing hammer over a lane's outer surface. */
export interface HammerDesign {
  /** diameter of one blow's mark on the smooth surface */
  facetMm: number;
  /** depth of a mark's middle below the smooth surface */
  depthMm: number;
  /** whole number; the same seed gives the same marks */
  seed: number;
}

/** A lane that ends above the bore: a strip let into a channel of the lane beside it. */
export interface InlayDesign {
  /** depth of the channel's floor below the section's outer surface */
  depthMm: number;
  /** name of the neighbouring lane whose metal runs on beneath */
  bed: string;
}

/** Flat cuts round the band, evenly spaced, the first one's middle at the top. */
export interface FacetDesign {
  count: number;
  /** how far a facet's middle lies below the lane's outer surface where that stands highest */
  depthMm: number;
  /** angle by which facets lean, by turns, to the one edge of the band and to the other; 0 for none */
  slantRad: number;
}

export interface LaneDesign {
  name: string;
  /** depth of the lane's outer surface below the section's */
  recessMm: number;
  /** round softening radius where the lane's outer surface meets a seam */
  softenMm: number;
  /** absent for a smooth lane */
  hammer?: HammerDesign;
  texture?: TextureDesign;
  facets?: FacetDesign;
  /** absent for a lane that goes through to the bore */
  inlay?: InlayDesign;
}

export type StoneCutName = CutName;

export type Coverage =
  | { kind: 'full' }
  | { kind: 'arc'; angleRad: number }
  /** one stone at each θ, wherever the row's gap and count would have put it */
  | { kind: 'angles'; anglesRad: number[] };

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
  /** its stones are set into the bore and look at the finger */
  inside?: true;
  /** its stones are set into the side face at this edge and look along the finger */
  face?: 'first' | 'second';
  /** sorts that take turns with the row's own, in this order */
  alternate?: StoneSort[];
  /** one stone in the middle of the row that differs from all others */
  centre?: StoneSort;
  /** sizes fall evenly from the middle to the ends, or to the stone opposite, or one way; diameters are whole steps */
  graduate?: { toMm: number; stepMm: number; oneWay?: true; throughMm?: number[] };
  /** diameters that the workshop stocks, growing; all but a centre stone are of these. Any if absent */
  stockedMm?: number[];
  /** lines this far from each other, each set into the gaps of the one before; two if their number is absent */
  /** negative: the first line lies towards the second edge */
  stagger?: { apartMm: number; lines?: number };
  /** which way stones with a narrow end look: away from the top, or towards the second edge, unless this is said */
  narrowEnd?: 'inwards';
  /** of its middle line from that of its lane, towards the second edge, or of a side face, outwards; absent in the middle */
  offsetMm?: number;
  coverage: Coverage;
  /** `fit`: the largest count that keeps the least gap */
  count: 'fit' | number;
  leastGapMm: number;
  /** depth of the girdle plane below the lane's surface (negative: proud of it) */
  setDepthMm: number;
  /** metal over tables that lie level when finished: what polishing takes. None in a design as it is written */
  coverMm?: number;
  /** diameter of the through-hole under a stone, as a share of the stone's diameter */
  holeShare: number;
  /** how wide holes open at the bore at most, as a share of the stone's diameter; straight ones if absent */
  azureShare?: number;
  /** metal left above the bore under the holes, which then do not go through */
  floorMm?: number;
  setting: SettingDesign;
}

/** Where a row's stones are set into the band. */
export type RowSide = 'outside' | 'bore' | 'face';

export const rowSide = ({ inside, face }: Pick<RowDesign, 'inside' | 'face'>): RowSide =>
  inside ? 'bore' : face ? 'face' : 'outside';

/** Parallel lines of a row's stones. */
export const linesOf = ({ stagger }: Pick<RowDesign, 'stagger'>) => (stagger ? (stagger.lines ?? 2) : 1);

/** Stones of the first of a row's lines, of `count` in all: each second line of an open row has one stone less. */
export function firstLine(row: Pick<RowDesign, 'stagger' | 'coverage'>, count: number): number {
  const lines = linesOf(row);
  return row.coverage.kind === 'full' ? count / lines : (count + Math.floor(lines / 2)) / lines;
}

/** Diameters that a graduated row comes by, evenly spread, from its own to its last. */
export function graduation({ graduate, diameterMm }: Pick<RowDesign, 'graduate' | 'diameterMm'>): number[] {
  return graduate ? [diameterMm, ...(graduate.throughMm ?? []), graduate.toMm] : [diameterMm];
}

/** The sorts of a row in the order in which a dress names their stones: its own, those taking turns, the centre. */
export function sortsOf(row: RowDesign): StoneSort[] {
  return [row, ...(row.alternate ?? []), ...(row.centre ? [row.centre] : [])];
}

/** Everything that decides solids. Colour and finish are not part of it. */
export interface ShapeDesign {
  /** inner circumference, ISO 8653: that of the smallest bore */
  circumferenceMm: number;
  /** at the top of the band */
  widthMm: number;
  /** radial, from the smallest bore to the crest of the outside, before any recess; at the top of the band */
  thicknessMm: number;
  /** absent where the band is the same all round */
  taper?: TaperDesign;
  /** absent where the edges run level, or only taper */
  outline?: OutlineDesign;
  /** absent where the outside is round all round */
  flat?: FlatDesign;
  /** wires over and under each other, one a lane; lanes and seams then only part the space that they fill */
  strands?: StrandsDesign;
  /** where the band is parted; absent if nowhere */
  gaps?: GapDesign[];
  section: SectionDesign;
  /** ordered by z, from −width/2 to +width/2 */
  seams: SeamDesign[];
  /** seams.length + 1 lanes, ordered by z */
  lanes: LaneDesign[];
  rows: RowDesign[];
  /** absent for a band without letters */
  engraving?: EngravingsDesign;
  /** beads along both outside edges of the band */
  edgeMilgrain?: MilgrainDesign;
  /** largest distance between the true surface and its triangles */
  chordToleranceMm: number;
}
