import { angleRound, type Phrase, phrase } from '../trade/bench-words.ts';
import { atLeast, atLeastOf, type BandRule, CAST_SOURCE, FILE_SOURCE, limitOf } from './bench-rule.ts';
import type { Engraving } from './engraving.ts';

const DEPTH_SOURCE =
  'cut by laser 0.05–0.2 mm deep, by machine 0.2–0.5 mm (a seller’s page, weak): thekaratstore.us/?p=169192';
const CAST_LETTERS = `letters that are cast and not cut want strokes of 0.3 mm and 0.5 mm of depth: ${FILE_SOURCE}`;

const placeOf = ({ lane }: Engraving): Phrase =>
  lane ? phrase('outside-engraving', { lane: { name: lane.name } }) : phrase('inside-engraving');

const engravingDepth: BandRule = {
  rule: 'engraving-depth',
  severity: 'warning',
  source: `common practice: 0.1 mm inside, where it is sheltered, 0.2 mm outside, lest it wears off; ${DEPTH_SOURCE}`,
  measure: (view) =>
    (view.marks?.engravings ?? []).map((e) =>
      atLeast(
        limitOf(view, 'engraving-depth', e.side === 'inside' ? 0.1 : 0.2),
        e.reached.leastMm,
        e.reached.leastMm < e.reached.mostMm - 1e-9
          ? phrase('walls-meet', { engraving: placeOf(e) })
          : placeOf(e),
      ),
    ),
};

/** A line of letters is a broad area left thin: below what such areas cast at it breaks through, below 0.8 mm it shows. */
const engravingWall: BandRule = {
  rule: 'engraving-wall',
  severity: 'error',
  source: `broad areas from 0.5 mm: ${CAST_SOURCE}; all walls from 0.8 mm in the file: ${FILE_SOURCE}`,
  measure: (view) =>
    (view.marks?.engravings ?? []).map((e) =>
      atLeastOf(
        view,
        'engraving-wall',
        { wanted: 0.8, least: 0.5 },
        e.wall.mm,
        phrase('under-engraving', { engraving: placeOf(e), at: angleRound(e.wall.theta) }),
      ),
    ),
};

const engravingStroke: BandRule = {
  rule: 'engraving-stroke',
  severity: 'warning',
  source: `common practice: 0.09 mm, the point of a fine cutter; ${CAST_LETTERS}`,
  measure: (view) =>
    (view.marks?.engravings ?? []).map((e) =>
      atLeast(
        limitOf(view, 'engraving-stroke', 0.09),
        e.stroke.widthMm,
        phrase('stroke-at', { letter: { name: e.stroke.letter }, engraving: placeOf(e) }),
      ),
    ),
};

const grooveWall: BandRule = {
  rule: 'groove-wall',
  severity: 'error',
  source: CAST_SOURCE,
  measure: (view) =>
    least(view.marks?.grooves ?? [], ({ wall }) => wall.mm).map(({ seam, wall }) =>
      atLeast(
        limitOf(view, 'groove-wall', 0.4),
        wall.mm,
        phrase('under-groove', { seam: { name: seam }, at: angleRound(wall.theta) }),
      ),
    ),
};

const milgrainBead: BandRule = {
  rule: 'milgrain-bead',
  severity: 'warning',
  source: 'common practice: beads below 0.25 mm wear smooth and rarely survive casting and polishing',
  measure: (view) =>
    least(view.marks?.milgrains ?? [], ({ design }) => design.beadMm).map(({ design, along, lane }) =>
      atLeast(
        limitOf(view, 'milgrain-bead', 0.25),
        design.beadMm,
        along === 'edge'
          ? phrase('beads-edges', { lane: { name: lane.name } })
          : phrase('beads-seam', { seam: { name: along }, lane: { name: lane.name } }),
      ),
    ),
};

/** The one that measures least, if there are any. */
function least<T>(items: readonly T[], measure: (item: T) => number): T[] {
  return items.length === 0 ? [] : [items.reduce((a, b) => (measure(b) < measure(a) ? b : a))];
}

export const MARK_RULES: readonly BandRule[] = [
  engravingDepth,
  engravingWall,
  engravingStroke,
  grooveWall,
  milgrainBead,
];
