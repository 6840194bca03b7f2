import { degrees, mm } from '../band/design-problems.ts';
import { DEEPEST_BLOW } from '../band/hammer.ts';
import { type Lane, surveyAngles } from '../band/lane.ts';
import { radiusAt } from '../band/profile.ts';
import { atLeast, atMost, type BandRule, CAST_SOURCE, limitOf } from './bench-rule.ts';
import { toBand } from './stone.ts';

const bandThickness: BandRule = {
  rule: 'band-thickness',
  severity: 'warning',
  source: 'common practice: plain bands from 1.2 mm',
  measure: (view) => [
    atLeast(limitOf(view, 'band-thickness', 1.2), view.design.thicknessMm, 'mid-width, at the size'),
  ],
};

const bandWidth: BandRule = {
  rule: 'band-width',
  severity: 'warning',
  source: 'ritani.com/blog/engagement-rings/how-thick-or-thin-should-my-engagement-ring-be',
  measure: (view) => [atLeast(limitOf(view, 'band-width', 1.5), view.design.widthMm, 'band')],
};

const castWall: BandRule = {
  rule: 'cast-wall',
  severity: 'error',
  source: CAST_SOURCE,
  measure: (view) =>
    view.lanes.map((lane) => {
      const zs = [lane.low, lane.high].flatMap(({ curve }) => [0, ...curve.extremes].map(curve.z));
      const marks = lane.hammer ? DEEPEST_BLOW * lane.hammer.depthMm : 0;
      const thickness = Math.min(...zs.map((z) => radiusAt(lane.outer, z) - radiusAt(lane.bore, z))) - marks;
      const less = marks > 0 ? ', less the hammer’s deepest marks' : '';
      return atLeast(
        limitOf(view, 'cast-wall', 0.4),
        thickness,
        `radial metal of lane '${lane.name}' at its sides${less}`,
      );
    }),
};

const laneWidth: BandRule = {
  rule: 'least-lane-width',
  severity: 'error',
  source: CAST_SOURCE,
  measure: (view) =>
    view.lanes.map((lane) => {
      const worst = narrowest(lane);
      const limit = limitOf(view, 'least-lane-width', 0.4);
      return atLeast(limit, worst.width, `lane '${lane.name}' at θ = ${degrees(worst.theta)}`);
    }),
};

const edgeSoftening: BandRule = {
  rule: 'edge-softening',
  severity: 'warning',
  source: CAST_SOURCE,
  measure: (view) => {
    const { design, lanes } = view;
    const radii: [number, string][] = [
      [design.section.edgeMm, 'outer edges of the band'],
      [design.section.boreEdgeMm, 'bore edges'],
      ...lanes
        .filter(({ low, high }) => low.mate || high.mate)
        .map((lane): [number, string] => [
          design.lanes[lane.index].softenMm,
          `lane '${lane.name}' at its seams`,
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
    const highest = Math.max(view.design.thicknessMm, ...stones);
    const place = stones.length > 0 ? 'bore to the highest stone, claw or metal' : 'bore to the outside';
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
    const limit = narrow ? 'no dome below 3.000 mm of width' : '0.100 to 0.300 mm';
    return [{ passed, limit, measured: mm(comfortMm), place: `bore, ${mm(design.widthMm)} wide` }];
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
    const loose = section.comfortMm > 0 ? ', less what the comfort bore gives' : '';
    return [
      {
        passed: widthMm < 5,
        limit: `below 5 mm; wider sits tighter: try up to ½ US size (0.4 mm) more${loose}`,
        measured: mm(widthMm),
        place: 'width; measure with a gauge as wide',
      },
    ];
  },
};

export const BAND_RULES: readonly BandRule[] = [
  bandThickness,
  bandWidth,
  castWall,
  laneWidth,
  edgeSoftening,
  overallThickness,
  comfortDome,
  wideBandSize,
];

/** Least width of a lane over θ, mm. */
function narrowest(lane: Lane): { theta: number; width: number } {
  let worst = { theta: 0, width: Number.POSITIVE_INFINITY };
  for (const theta of surveyAngles(lane)) {
    const width = lane.high.curve.z(theta) - lane.low.curve.z(theta);
    if (width < worst.width) worst = { theta, width };
  }
  return worst;
}
