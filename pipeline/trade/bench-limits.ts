/**
 * Rules of the bench by name, and the numbers a workshop may set for them. What each rule measures, its usual limit
 * and the source of that stand in the rule files of `setting/`, gathered by `bench-rules.ts`.
 */

export interface BenchLimit {
  /** what the number counts; `mm`, or a share of something */
  unit: 'mm' | 'share';
  /** what a limit of the config is */
  about: string;
}

const LIMITS = {
  'band-thickness': {
    unit: 'mm',
    about: 'least thickness of the band: at its thickest, of concave ones at their thinnest',
  },
  'band-width': { unit: 'mm', about: 'least width of the band' },
  'head-clearance': { unit: 'mm', about: 'least distance between a head and the band that runs round it' },
  'gap-width': { unit: 'mm', about: 'least width of gaps, at the bore' },
  'gap-strand': { unit: 'mm', about: 'least metal between a gap and an edge of the band' },
  'gap-bridge': { unit: 'mm', about: 'least width of bars across a gap' },
  'strand-wire': { unit: 'mm', about: 'least diameter of wires over and under each other' },
  'liner-wall': { unit: 'mm', about: 'least wall of a liner under wires' },
  'strand-gap': { unit: 'mm', about: 'least air between wires that are loose in each other' },
  'cast-wall': { unit: 'mm', about: 'least radial metal of a lane at its sides' },
  'least-lane-width': { unit: 'mm', about: 'least width of a lane, across its seams' },
  'inlay-floor': { unit: 'mm', about: 'least metal beneath an inlay' },
  'inlay-metal': { unit: 'mm', about: 'least radial metal of an inlay' },
  'edge-softening': { unit: 'mm', about: 'least radius of edges' },
  'girdle-gap': { unit: 'mm', about: 'least distance between girdles' },
  'wall-beside-seat': { unit: 'mm', about: 'least metal beside a seat, whatever the stone' },
  'floor-under-culet': { unit: 'mm', about: 'least height of a culet above the bore, open or closed' },
  'claw-diameter': { unit: 'mm', about: 'least diameter of claws, whatever the stone' },
  'claw-bite': { unit: 'mm', about: 'least overhang of a claw over the girdle' },
  'claw-height': { unit: 'share', about: 'least share of the height from girdle to table' },
  'claw-sink': { unit: 'share', about: 'least depth of a claw in the metal, as a share of its diameter' },
  'metal-under-seat': {
    unit: 'mm',
    about: 'least metal under bearings, closed seats and holes with a floor',
  },
  'girdle-depth': { unit: 'mm', about: 'least depth of grain-set girdles below the surface' },
  'table-height': { unit: 'mm', about: 'most that tables stand over the band’s outside' },
  'overall-thickness': { unit: 'mm', about: 'most from the bore to the highest point' },
  'grain-diameter': { unit: 'mm', about: 'least diameter of grains' },
  'grain-bite': { unit: 'mm', about: 'least overhang of a grain over the girdle' },
  'grain-height': { unit: 'share', about: 'least share of the height from girdle to table' },
  'grain-sink': { unit: 'share', about: 'least depth of a grain in the metal, as a share of its diameter' },
  'grain-rail': { unit: 'mm', about: 'least metal between a field and the sides of its lane' },
  'grain-floor': { unit: 'mm', about: 'least metal under a field' },
  'hole-width': { unit: 'mm', about: 'least width of through-holes' },
  'hole-depth': { unit: 'mm', about: 'most depth of through-holes that are cast' },
  'claw-gap': { unit: 'mm', about: 'least air between claws' },
  'emergency-size': { unit: 'mm', about: 'most metal for a ring cutter to get through' },
  'engraving-depth': { unit: 'mm', about: 'least depth of letters' },
  'engraving-wall': { unit: 'mm', about: 'least metal left under letters' },
  'engraving-stroke': { unit: 'mm', about: 'least width of letters’ strokes' },
  'groove-wall': { unit: 'mm', about: 'least metal left under a groove' },
  'milgrain-bead': { unit: 'mm', about: 'least diameter of milgrain beads' },
} as const satisfies Record<string, BenchLimit>;

/** A rule whose limit is a number. */
export type LimitedRule = keyof typeof LIMITS;

export const BENCH_LIMITS: ReadonlyMap<LimitedRule, BenchLimit> = new Map(
  Object.entries(LIMITS) as [LimitedRule, BenchLimit][],
);

/** Every rule, also those without a number; any may be waived. */
export const BENCH_RULE_NAMES = [
  ...BENCH_LIMITS.keys(),
  'template-limits',
  'full-circle',
  'stone-care',
  'claw-metal',
  'soft-claws',
  'oxide-cut',
  'material-care',
  'brittle-wall',
  'plating-wear',
  'enamel-bed',
  'metal-joint',
  'emergency-metal',
  'guarded-points',
  'bearing-angle',
  'comfort-dome',
  'wide-band-size',
  'nickel-release',
  'hallmark-mass',
  'channel-opening',
  'channel-overlap',
  'channel-lip',
  'channel-wall',
  'channel-floor',
  'channel-stone',
  'flush-metal',
  'flush-hole',
  'flush-lip',
  'flush-wall',
  'collar-wall',
  'bezel-lip',
  'bezel-hold',
] as const;
export type BenchRuleName = (typeof BENCH_RULE_NAMES)[number];

/** Limits set by a config, in the rule's unit (mm, or a share from 0 to 1). */
export type LimitSettings = Partial<Record<LimitedRule, number>>;
