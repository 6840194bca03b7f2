import type { SectionName } from '../plan/design.ts';
import type { LetterStyle } from '../plan/engraving-design.ts';

/** What bench sheets say; figures come formatted, lengths in mm without their unit. */
export interface BenchMessages {
  sheet: string;
  unrolled(scale: number): string;
  boreUnrolled(scale: number): string;
  /** wires over and under each other */
  strands: {
    title: string;
    twist(count: number, wire: string): string;
    braid(count: number, wire: string): string;
    turns(count: number): string;
    right: string;
    left: string;
    joined: string;
    clear(air: string): string;
    liner(wall: string, margin: string, edge: string): string;
  };
  /** of a side face with stones */
  faceSeen(edge: 'first' | 'second', scale: number): string;
  sectionAt(angle: string, scale: number): string;
  /** marks the top of the band in the unrolled drawings, and the place opposite it */
  top: string;
  opposite: string;
  printing: string;
  sizes: string;
  section: string;
  metal: string;
  stones: string;
  marks: string;
  fit: string;
  checks: string;
  cautions: string;
  /** what whoever sets the stones and casts the metal must look out for */
  hands: Record<'setter' | 'caster', string>;
  /** the size's names in all systems */
  sizeNames: string;
  bore: string;
  boreFigures(diameter: string, circumference: string): string;
  atBack: string;
  widthThickness: string;
  outline: string;
  outlineFigures(least: string, most: string, reach: string): string;
  flat: string;
  flatFigures(length: string, width: string, height: string, radius: string): string;
  none: string;
  sections: Record<SectionName, string>;
  sectionWords: SectionMessages;
  lanes: LaneMessages;
  markWords: MarkMessages;
  /** of metal before and after casting, in g */
  mass(name: string, finished: string, asCast: string | undefined): string;
  stoneLine(count: number, label: string, cut: string, sizes: string, carats: string): string;
  /** how many stones of a line have a size */
  countOf(count: number, size: string): string;
  fitWords: FitMessages;
  measures: MeasureMessages;
  passed: string;
  note: string;
  notPassed: string;
  waived(reason: string): string;
}

/** What a section measures; where two measures stand, the first edge's comes first. */
export interface SectionMessages {
  both(first: string, second: string): string;
  dome(rise: string): string;
  chamfer(width: string, angle: string): string;
  chamfers(both: string, corner: string): string;
  ridge(angles: string, radius: string): string;
  step(width: string, depth: string, radius: string, edge: 'both' | 'low' | 'high'): string;
  comfort(rise: string): string;
  edges(radii: string): string;
  boreEdges(radius: string): string;
}

export interface LaneMessages {
  recess(depth: string): string;
  /** rims of the grooves that stand at its seams */
  cutRims: string;
  softened(radius: string): string;
  hammered(width: string, depth: string): string;
  /** @param what the relief's name */
  textured(what: string, size: string, depth: string): string;
  /** @param along,across by how much a motif comes out longer than drawn, with their signs */
  motif(height: string, raised: boolean, along: string, across: string): string;
  facets(count: number, depth: string): string;
  leaning(angle: string): string;
  inlay(bed: string, floor: string): string;
}

export interface MarkMessages {
  engraved: Record<'inside' | 'outside', string>;
  text(text: string, lane: string | undefined): string;
  font: Record<LetterStyle, string>;
  capitals(height: string): string;
  deep(depth: string): string;
  long(length: string): string;
  walls(lean: string): string;
  middleAt(angle: string): string;
  heads: Record<'first' | 'second', string>;
  milgrain: string;
  beads(count: number, diameter: string, pitch: string): string;
  groove: string;
  grooveProfile: Record<'v' | 'round', string>;
  wide(width: string): string;
  /** @param lane on whose side beads stand */
  along(seam: string | undefined, lane?: string): string;
}

export interface FitMessages {
  stones(count: number): string;
  single: string;
  gaps(gap: string): string;
  walls(wall: string): string;
  /** @param side that the stones are set from */
  culets(height: string, side: 'outside' | 'bore' | 'face'): string;
  /** @param gap undefined where there is none */
  step(count: number, fits: boolean, gap: string | undefined, why: string): string;
}

/** The page of measures to mark out and work by. */
export interface MeasureMessages {
  heading: string;
  /** how angles and places are counted */
  counted: string;
  blank: string;
  wire(diameter: string, length: string): string;
  blankLine(length: string, wide: boolean): string;
  files: string;
  seams: string;
  /** after the heading: a course that repeats, each time after that angle */
  again(times: number, angle: string): string;
  seam: string;
  lanes: string;
  /** a measure that changes round the band, or not */
  constant(value: string): string;
  swings(least: string, leastAt: string, most: string, mostAt: string): string;
  places: string;
  /** heads of the table of stones */
  placeHeads: { number: string; angle: string; along: string; fromEdge: string; size: string };
  seats: string;
  opening(size: string): string;
  hole(size: string | undefined, atBore: string | undefined): string;
  girdleDepth(depth: string): string;
  bearing(from: string, to: string): string;
  holds: string;
  pins: Record<'claws' | 'grains', string>;
  claws(pins: string, count: number, base: string, overMetal: string, overGirdle: string): string;
  channel(open: string, slot: string, floor: string): string;
  flush(lip: string, flare: string): string;
  /** a bezel has a lip, a head has none */
  collar(outside: string, wall: string, taper: string, lip: string | undefined): string;
  order: string;
  /** stones to have in hand before work begins */
  orderLine(count: number, spares: number, size: string): string;
  sieve(plates: string): string;
  quality(text: string): string;
}
