import { headDistance } from '../band/head-path.ts';
import { edgeCurve, widthExtremes } from '../band/outline.ts';
import { thicknesses } from '../band/thickness.ts';
import { rowSide, type ShapeDesign } from '../plan/design.ts';
import { angleRound, phrase, type Words } from '../trade/bench-words.ts';
import { EMERGENCY_SOURCE } from '../trade/ring-removal.ts';
import { atLeast, atMost, type BandRule, CAST_SOURCE, limitOf } from './bench-rule.ts';
import { toBand } from './stone.ts';

/**
 * Metal at its thickest, which is what bends: domed bands thin out to their edges by design. Of a concave section the
 * middle is what bends, so there it is the metal at its thinnest.
 */
const bandThickness: BandRule = {
  rule: 'band-thickness',
  severity: 'warning',
  source: 'common practice: plain bands from 1.2 mm',
  measure: (view) => {
    const { design, lanes } = view;
    const hollow = design.section.name === 'concave';
    // the ends of a flat are thicker than its middle
    return thicknesses(design, lanes)
      .slice(0, 2)
      .map((at, back) =>
        atLeast(
          limitOf(view, 'band-thickness', 1.2),
          hollow ? at.least : at.most,
          phrase(`${hollow ? 'thinnest' : 'thickest'}${placeOf(design, back)}`),
        ),
      );
  },
};

const bandWidth: BandRule = {
  rule: 'band-width',
  severity: 'warning',
  source:
    'common practice; a seller’s page says so too: ritani.com/blog/engagement-rings/how-thick-or-thin-should-my-engagement-ring-be',
  measure: (view) =>
    widthsOf(view.design).map(({ widthMm, place }) =>
      atLeast(limitOf(view, 'band-width', 1.5), widthMm, place),
    ),
};

/**
 * Of a tapered band the widths of its top and its back, between which all others lie; of one with an outline the least and
 * the greatest, square to its run.
 */
function widthsOf(design: ShapeDesign): { widthMm: number; place: Words }[] {
  const { widthMm, taper, outline } = design;
  if (outline) {
    const { least, most } = widthExtremes(design);
    const apart = most.widthMm - least.widthMm > 1e-6;
    return (apart ? [least, most] : [least]).map(({ widthMm, theta }) => ({
      widthMm,
      place: phrase('band-across', { at: angleRound(theta) }),
    }));
  }
  if (!taper) return [{ widthMm, place: phrase('band') }];
  return [
    { widthMm, place: phrase('band-top') },
    { widthMm: taper.widthMm, place: phrase('band-back') },
  ];
}

const placeOf = ({ taper, flat }: ShapeDesign, back: number) =>
  !taper && !flat ? '' : back ? '-back' : '-top';

const edgeSoftening: BandRule = {
  rule: 'edge-softening',
  severity: 'warning',
  source: CAST_SOURCE,
  measure: (view) => {
    const { design, lanes } = view;
    const { edgeMm, farEdgeMm = Infinity, boreEdgeMm, ridge, bevel, step } = design.section;
    const radii: [number, Words][] = [
      [Math.min(edgeMm, farEdgeMm), phrase('outer-edges')],
      [boreEdgeMm, phrase('bore-edges')],
      ...(ridge ? [[ridge.roundMm, phrase('ridge-edge')] satisfies [number, Words]] : []),
      ...(bevel ? [[bevel.roundMm, phrase('bevel-edges')] satisfies [number, Words]] : []),
      ...(step ? [[step.softenMm, phrase('step-edge')] satisfies [number, Words]] : []),
      ...(design.flat ? [[design.flat.edgeMm, phrase('flat-ends')] satisfies [number, Words]] : []),
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

/** Highest point of metal, beads and stones over the bore: what neighbouring fingers feel. */
const overallThickness: BandRule = {
  rule: 'overall-thickness',
  severity: 'info',
  source: 'common practice: above about 3.5 mm a band spreads the neighbouring fingers',
  measure: (view) => {
    const bore = view.design.circumferenceMm / (2 * Math.PI);
    const over = (p: readonly number[]) => Math.hypot(p[0], p[1]) - bore;
    const outside = view.rows.filter(({ design }) => rowSide(design) === 'outside');
    const stones = outside.flatMap(({ members, claws, grain }) => [
      ...members.map(({ set, place }) => over(toBand(place.frame, [0, 0, set.stone.tableHeight]))),
      ...[...claws, ...(grain?.grains ?? [])].map(({ frame, tip, bend }) =>
        over(toBand(frame, [0, bend, tip])),
      ),
    ]);
    const beads = (view.marks?.milgrains ?? []).flatMap(({ frames, design: { beadMm } }) =>
      frames.map((frame) => over(frame.origin) + beadMm / 2),
    );
    const metal = thicknesses(view.design, view.lanes).map(({ highest }) => highest);
    const highest = Math.max(...metal, ...beads, ...stones);
    const place = phrase(stones.length > 0 ? 'bore-to-highest' : 'bore-to-outside');
    return [atMost(limitOf(view, 'overall-thickness', 3.5), highest, place)];
  },
};

const comfortDome: BandRule = {
  rule: 'comfort-dome',
  severity: 'info',
  source:
    'common practice: 0.1–0.3 mm for 4–8 mm bands; pointless below 3 mm; a seller’s page says so too: leonmege.com/wedding-band-guide',
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
    'common practice: up by half a US size from 5 mm; a comfort bore wears ¼–½ size looser; sellers’ pages say so too: careypearson.com/finding-a-ring-size, ringsizely.com/ring-size-glossary',
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

/**
 * A swollen finger loses its blood in hours: what a hand-turned ring cutter takes long to get through is worth knowing
 * before it is bought. What hard metals add is said with the metals.
 */
const emergencySize: BandRule = {
  rule: 'emergency-size',
  severity: 'info',
  source: `from memory: hand ring cutters are slow above about 2.5 mm of metal, and bands wider than 8 mm leave their guard little room; ${EMERGENCY_SOURCE}`,
  measure: (view) => {
    const { design, lanes } = view;
    const thickest = Math.max(...thicknesses(design, lanes).map(({ most }) => most));
    const widest = Math.max(...widthsOf(design).map(({ widthMm }) => widthMm));
    return [
      atMost(limitOf(view, 'emergency-size', 2.5), thickest, phrase('cut-thick')),
      ...(widest > 8 ? [atMost(8, widest, phrase('cut-wide'))] : []),
    ];
  },
};

/** The edge as it was built against the head it was laid round: heads are set by hand, and rings wear against each other. */
const headClearance: BandRule = {
  rule: 'head-clearance',
  severity: 'warning',
  source:
    'common practice: rings worn side by side keep 0.1 mm between a head and the band beside it, lest they rub',
  measure: (view) => {
    const { design } = view;
    const head = design.outline?.around;
    if (!head) return [];
    const edge = edgeCurve(design, head.edge === 'second' ? 1 : -1);
    const { mm, theta } = headDistance(design, head, edge.z);
    return [
      atLeast(limitOf(view, 'head-clearance', 0.1), mm, phrase('head-to-edge', { at: angleRound(theta) })),
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
  emergencySize,
  headClearance,
];
