import type { BenchCheck } from '../band/built-shape.ts';
import { degrees } from '../band/design-problems.ts';
import type { ShapeDesign } from '../catalogue/design.ts';
import type { LimitedRule } from '../trade/bench-limits.ts';
import {
  atLeast,
  atMost,
  type BenchRule,
  type BenchView,
  CAST_SOURCE,
  type Finding,
  limitOf,
} from './bench-rule.ts';
import { CHANNEL_RULES } from './channel-rules.ts';
import { clawBite } from './claw.ts';
import { closestPair } from './collision.ts';
import { FLUSH_RULES } from './flush-rules.ts';
import { type Girdle, type OutlinePoint, outsideGirdle } from './girdle.ts';
import { LANE_RULES } from './lane-rules.ts';
import { MARK_RULES } from './mark-rules.ts';
import type { RowPlan } from './row-plan.ts';
import { holeWidth } from './seat.ts';
import { alongRow, toBand, toStone } from './stone.ts';
import { distance } from './vec.ts';

const PRONG_SOURCE =
  'gia.edu/quality-assurance-benchmark/setting-round-center-stone-ring-platinum-prong; professionaljeweler.com/archives/articles/2004/jul04/0704pb1.html; professionaljeweler.com/archives/articles/2002/dec02/1202pb1.html';

const bandThickness: BenchRule = {
  rule: 'band-thickness',
  severity: 'warning',
  source: 'common practice: plain bands from 1.2 mm',
  measure: (view) =>
    topAndBack(view.design).map(({ thicknessMm, place }) =>
      atLeast(limitOf(view, 'band-thickness', 1.2), thicknessMm, `mid-width, at the size${place}`),
    ),
};

const bandWidth: BenchRule = {
  rule: 'band-width',
  severity: 'warning',
  source: 'ritani.com/blog/engagement-rings/how-thick-or-thin-should-my-engagement-ring-be',
  measure: (view) =>
    topAndBack(view.design).map(({ widthMm, place }) =>
      atLeast(limitOf(view, 'band-width', 1.5), widthMm, `band${place}`),
    ),
};

/** Measures of the band; of a tapered one those of its top and its back, between which all others lie. */
function topAndBack({ widthMm, thicknessMm, taper }: ShapeDesign) {
  if (!taper) return [{ widthMm, thicknessMm, place: '' }];
  return [
    { widthMm, thicknessMm, place: ', at the top' },
    { widthMm: taper.widthMm, thicknessMm: taper.thicknessMm, place: ', at the back' },
  ];
}

const edgeSoftening: BenchRule = {
  rule: 'edge-softening',
  severity: 'warning',
  source: CAST_SOURCE,
  measure: (view) => {
    const { design, lanes } = view;
    const radii: [number, string][] = [
      [Math.min(design.section.edgeMm, design.section.farEdgeMm ?? Infinity), 'outer edges of the band'],
      [design.section.boreEdgeMm, 'bore edges'],
      ...lanes
        // a groove has cut rims in place of a softening
        .filter(({ low, high, index }) => {
          const soft = (seam: number) => !design.seams[seam].marks?.groove;
          return (low.mate && soft(index - 1)) || (high.mate && soft(index));
        })
        .map((lane): [number, string] => [
          design.lanes[lane.index].softenMm,
          `lane '${lane.name}' at its seams`,
        ]),
    ];
    const limit = limitOf(view, 'edge-softening', 0.125);
    return radii.map(([radius, place]) => atLeast(limit, radius, place));
  },
};

const girdleGap: BenchRule = {
  rule: 'girdle-gap',
  severity: 'error',
  source:
    'common practice: channels 0.05–0.15 mm, shared claws 0.10–0.20 mm; girdles must not overlap (a-set.be/techniques/pave)',
  measure: (view) => {
    const closest = closestPair(view.rows);
    if (!closest) return [];
    const channelled = view.rows.every(({ design }) => design.setting.style === 'channel');
    const place = `stones at θ = ${degrees(closest.theta)} and ${degrees(closest.other)}`;
    return [atLeast(limitOf(view, 'girdle-gap', channelled ? 0.05 : 0.1), closest.gap, place)];
  },
};

const wallBesideSeat: BenchRule = {
  rule: 'wall-beside-seat',
  severity: 'warning',
  source: 'smallest side walls reported, orchid.ganoksin.com/t/channel-set-size-limit/45641',
  measure: (view) =>
    view.rows.map((row) => {
      const worst = row.places.reduce((a, b) => (b.wall < a.wall ? b : a));
      const limit = limitOf(view, 'wall-beside-seat', 0.35);
      return atLeast(limit, worst.wall, `row '${row.design.name}' at θ = ${degrees(worst.theta)}`);
    }),
};

const floorUnderCulet: BenchRule = {
  rule: 'floor-under-culet',
  severity: 'error',
  source:
    'orchid.ganoksin.com/t/appropriate-gauge-for-flush-setting/34008: 0.2 mm, or open; never through the bore',
  measure: (view) =>
    view.rows.map((row) => {
      const worst = row.places.reduce((a, b) => (b.culetAbove < a.culetAbove ? b : a));
      const place = `row '${row.design.name}' at θ = ${degrees(worst.theta)}, ${row.seat.hole ? 'open' : 'closed'}`;
      const limit = limitOf(view, 'floor-under-culet', row.seat.hole ? 0 : 0.2);
      return atLeast(limit, worst.culetAbove, place);
    }),
};

const clawDiameter: BenchRule = {
  rule: 'claw-diameter',
  severity: 'warning',
  source:
    'common practice: 0.35 mm from 1.0 mm stones, 0.5 from 1.5, 0.7 from 2.5, 0.9 from 4.0, 1.0 from 6.5',
  measure: (view) =>
    view.rows.flatMap(({ claws, design }) =>
      claws.length === 0
        ? []
        : [
            atLeast(
              limitOf(view, 'claw-diameter', leastClaw((design.diameterMm + alongRow(design)) / 2)),
              2 * claws[0].radius,
              `claws of row '${design.name}'`,
            ),
          ],
    ),
};

/** Least claw diameter for a stone of the given mean diameter, by straight lines between the rule's points. */
function leastClaw(diameter: number): number {
  const table = [
    [1, 0.35],
    [1.5, 0.5],
    [2.5, 0.7],
    [4, 0.9],
    [6.5, 1],
  ];
  const above = table.findIndex(([d]) => d >= diameter);
  if (above === 0) return table[0][1];
  if (above < 0) return table[table.length - 1][1];
  const [d0, c0] = table[above - 1];
  const [d1, c1] = table[above];
  return c0 + ((c1 - c0) * (diameter - d0)) / (d1 - d0);
}

const clawBiteRule: BenchRule = {
  rule: 'claw-bite',
  severity: 'error',
  source: `notch at most 25 % of a shared claw a side: ${PRONG_SOURCE}; least overhang 0.03 mm: common practice`,
  measure: (view) => view.rows.flatMap((row) => biteFindings(row, limitOf(view, 'claw-bite', 0.03))),
};

function biteFindings(row: RowPlan, least: number): Finding[] {
  const { claws, design, places, stone } = row;
  if (claws.length === 0) return [];
  let worst = { bite: Number.POSITIVE_INFINITY, theta: 0 };
  for (const place of places) {
    const near = claws.filter(({ frame, radius }) => {
      const [x, y, z] = toStone(place.frame, frame.origin);
      return Math.abs(z) < radius && outsideGirdle(stone.girdle, x, y) < radius;
    });
    const bite = near.length < 4 ? 0 : Math.min(...near.map((claw) => clawBite(claw, stone, place.frame)));
    if (bite < worst.bite) worst = { bite, theta: place.theta };
  }
  const where = `claws of row '${design.name}' at θ = ${degrees(worst.theta)}`;
  return [atLeast(least, worst.bite, where), atMost(0.5 * claws[0].radius, worst.bite, where)];
}

const clawHeight: BenchRule = {
  rule: 'claw-height',
  severity: 'info',
  source: `60–80 % of the height from girdle to table: ${PRONG_SOURCE}`,
  measure: (view) =>
    view.rows.flatMap(({ claws, design, stone }) => {
      if (claws.length === 0) return [];
      const least = limitOf(view, 'claw-height', 0.6);
      const share = claws[0].tip / stone.tableHeight;
      const measured = `${(100 * share).toFixed(0)} %`;
      const limit = `${(100 * least).toFixed(0)} to 100 % (no higher than the table)`;
      return [
        { passed: share >= least && share <= 1, limit, measured, place: `claws of row '${design.name}'` },
      ];
    }),
};

const clawSink: BenchRule = {
  rule: 'claw-sink',
  severity: 'warning',
  source: 'common practice: a claw stands its own diameter deep in the metal, at least half of it',
  measure: (view) =>
    view.rows.flatMap(({ claws, design, places }) => {
      if (claws.length === 0) return [];
      const surface = Math.min(...places.map((place) => place.surface));
      const sink = surface - Math.max(...claws.map(({ foot }) => foot));
      const least = limitOf(view, 'claw-sink', 0.7) * 2 * claws[0].radius;
      return [atLeast(least, sink, `claws of row '${design.name}'`)];
    }),
};

const holeWidthRule: BenchRule = {
  rule: 'hole-width',
  severity: 'warning',
  source: CAST_SOURCE,
  measure: (view) =>
    view.rows.flatMap(({ seat, design }) =>
      seat.hole
        ? [
            atLeast(
              limitOf(view, 'hole-width', 0.2),
              holeWidth(seat),
              `through-holes of row '${design.name}'`,
            ),
          ]
        : [],
    ),
};

/** Corners and points chip: a claw should cover each, nearer than its own width. */
const guardedPoints: BenchRule = {
  rule: 'guarded-points',
  severity: 'warning',
  source: 'common practice: corners of princess cuts and baguettes and points of marquises are covered',
  measure: ({ rows }) =>
    rows.flatMap(({ claws, design, places, stone }) => {
      const points = sharpCorners(stone.girdle);
      if (points.length === 0) return [];
      const bare = points.filter(([x, y]) => {
        const point = toBand(places[0].frame, [x, y, 0]);
        return !claws.some(({ frame, radius }) => {
          return distance(frame.origin, point) < 2 * radius;
        });
      });
      return [
        {
          passed: bare.length === 0,
          limit: 'every corner within a claw’s width of its middle',
          measured: `${bare.length} of ${points.length} corners bare`,
          place: `row '${design.name}'`,
        },
      ];
    }),
};

/** Corners of a girdle that turn by more than 45°. */
function sharpCorners(girdle: Girdle): readonly OutlinePoint[] {
  if (girdle.kind === 'round') return [];
  const { corners } = girdle;
  return corners.filter(([x, y], i) => {
    const [px, py] = corners[(i + corners.length - 1) % corners.length];
    const [nx, ny] = corners[(i + 1) % corners.length];
    const turn = Math.atan2(ny - y, nx - x) - Math.atan2(y - py, x - px);
    return Math.cos(turn) < Math.SQRT1_2;
  });
}

export const BENCH_RULES: readonly BenchRule[] = [
  bandThickness,
  bandWidth,
  ...LANE_RULES,
  edgeSoftening,
  girdleGap,
  wallBesideSeat,
  floorUnderCulet,
  clawDiameter,
  clawBiteRule,
  clawHeight,
  clawSink,
  holeWidthRule,
  guardedPoints,
  ...CHANNEL_RULES,
  ...FLUSH_RULES,
  ...MARK_RULES,
];

/**
 * Runs every rule over a shape. Rules report; they never stop a build. A limit of the config is named as such, with
 * the source of the usual one.
 */
export function benchChecks(view: BenchView, rules: readonly BenchRule[] = BENCH_RULES): BenchCheck[] {
  return rules.flatMap(({ rule, severity, source, measure }) =>
    measure(view).map((finding) => ({
      rule,
      severity,
      source:
        view.limits?.[rule as LimitedRule] === undefined ? source : `limit of the config; usual: ${source}`,
      ...finding,
    })),
  );
}
