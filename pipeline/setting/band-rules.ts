import type { ShapeDesign } from '../catalogue/design.ts';
import { phrase, type Words } from '../trade/bench-words.ts';
import { atLeast, atMost, type BandRule, CAST_SOURCE, limitOf } from './bench-rule.ts';
import { toBand } from './stone.ts';

const bandThickness: BandRule = {
  rule: 'band-thickness',
  severity: 'warning',
  source: 'common practice: plain bands from 1.2 mm',
  measure: (view) =>
    topAndBack(view.design).map(({ thicknessMm, place }) =>
      atLeast(limitOf(view, 'band-thickness', 1.2), thicknessMm, phrase(`mid-width${place}`)),
    ),
};

const bandWidth: BandRule = {
  rule: 'band-width',
  severity: 'warning',
  source: 'ritani.com/blog/engagement-rings/how-thick-or-thin-should-my-engagement-ring-be',
  measure: (view) =>
    topAndBack(view.design).map(({ widthMm, place }) =>
      atLeast(limitOf(view, 'band-width', 1.5), widthMm, phrase(`band${place}`)),
    ),
};

/** Measures of the band; of a tapered one those of its top and its back, between which all others lie. */
function topAndBack({ widthMm, thicknessMm, taper }: ShapeDesign) {
  if (!taper) return [{ widthMm, thicknessMm, place: '' as const }];
  return [
    { widthMm, thicknessMm, place: '-top' as const },
    { widthMm: taper.widthMm, thicknessMm: taper.thicknessMm, place: '-back' as const },
  ];
}

const edgeSoftening: BandRule = {
  rule: 'edge-softening',
  severity: 'warning',
  source: CAST_SOURCE,
  measure: (view) => {
    const { design, lanes } = view;
    const radii: [number, Words][] = [
      [Math.min(design.section.edgeMm, design.section.farEdgeMm ?? Infinity), phrase('outer-edges')],
      [design.section.boreEdgeMm, phrase('bore-edges')],
      ...lanes
        // a groove has cut rims in place of a softening
        .filter(({ low, high, index }) => {
          const soft = (seam: number) => !design.seams[seam].marks?.groove;
          return (low.mate && soft(index - 1)) || (high.mate && soft(index));
        })
        .map((lane): [number, Words] => [
          design.lanes[lane.index].softenMm,
          phrase('lane-seams', { lane: { name: lane.name } }),
        ]),
    ];
    const limit = limitOf(view, 'edge-softening', 0.125);
    return radii.map(([radius, place]) => atLeast(limit, radius, place));
  },
};

/** Highest point of metal and stones over the bore: what neighbouring fingers feel. */
const overallThickness: BandRule = {
  rule: 'overall-thickness',
  severity: 'info',
  source: 'common practice: above about 3.5 mm a band spreads the neighbouring fingers',
  measure: (view) => {
    const bore = view.design.circumferenceMm / (2 * Math.PI);
    const over = (p: readonly number[]) => Math.hypot(p[0], p[1]) - bore;
    const stones = view.rows.flatMap(({ members, claws, grain }) => [
      ...members.map(({ set, place }) => over(toBand(place.frame, [0, 0, set.stone.tableHeight]))),
      ...[...claws, ...(grain?.grains ?? [])].map(({ frame, tip }) => over(toBand(frame, [0, 0, tip]))),
    ]);
    const highest = Math.max(...topAndBack(view.design).map(({ thicknessMm }) => thicknessMm), ...stones);
    const place = phrase(stones.length > 0 ? 'bore-to-highest' : 'bore-to-outside');
    return [atMost(limitOf(view, 'overall-thickness', 3.5), highest, place)];
  },
};

const comfortDome: BandRule = {
  rule: 'comfort-dome',
  severity: 'info',
  source:
    'common practice: 0.1–0.3 mm for 4–8 mm bands; pointless below 3 mm: leonmege.com/wedding-band-guide',
  measure: ({ design }) => {
    const { comfortMm } = design.section;
    if (comfortMm === 0) return [];
    const narrow = design.widthMm < 3;
    const passed = !narrow && comfortMm >= 0.1 - 1e-9 && comfortMm <= 0.3 + 1e-9;
    const limit = narrow
      ? phrase('no-dome', { width: { mm: 3 } })
      : phrase('from-to', { from: { mm: 0.1 }, to: { mm: 0.3 } });
    const place = phrase('bore-width', { width: { mm: design.widthMm } });
    return [{ passed, limit, measured: { mm: comfortMm }, place }];
  },
};

/** Advice and no fault: how a band sits is found with a gauge of its width. */
const wideBandSize: BandRule = {
  rule: 'wide-band-size',
  severity: 'info',
  source:
    'up by half a US size from 5 mm: careypearson.com/finding-a-ring-size; a comfort bore wears ¼–½ size looser: ringsizely.com/ring-size-glossary',
  measure: ({ design }) => {
    const { widthMm, section } = design;
    const tighter = section.comfortMm > 0 ? 'sits-tighter-comfort' : 'sits-tighter';
    return [
      {
        passed: widthMm < 5,
        limit: phrase(tighter, { width: { mm: 5 }, more: { mm: 0.4 } }),
        measured: { mm: widthMm },
        place: phrase('gauge-as-wide'),
      },
    ];
  },
};

export const BAND_RULES: readonly BandRule[] = [
  bandThickness,
  bandWidth,
  edgeSoftening,
  overallThickness,
  comfortDome,
  wideBandSize,
];
