import { boreSurface, outsideSurface } from '../band/outside.ts';
import { rowSide } from '../plan/design.ts';
import { angleRound, phrase } from '../trade/bench-words.ts';
import {
  atLeast,
  atLeastOf,
  atMost,
  type BandRule,
  type BenchRule,
  CAST_SOURCE,
  FILE_SOURCE,
  limitOf,
  PRODUCTION_SOURCE,
  type RowRule,
  type SetRule,
} from './bench-rule.ts';
import { between } from './between.ts';
import { axisHeight } from './clearance.ts';
import { closestPair } from './collision.ts';
import type { RowPlan } from './row-plan.ts';
import { holeWidth, radiusOf } from './seat.ts';

/** Whether light comes through from below. */
function isOpen({ seat, design }: RowPlan): boolean {
  return seat.hole !== undefined && design.floorMm === undefined;
}

const girdleGap: BandRule = {
  rule: 'girdle-gap',
  severity: 'error',
  source:
    'under a microscope from 0.15 mm, never touching: a-set.be/techniques/pave; channels 0.05–0.15 mm, shared claws 0.10–0.20 mm: common practice',
  measure: (view) => {
    const closest = closestPair(view.rows);
    if (!closest) return [];
    const channelled = view.rows.every(({ design }) => design.setting.style === 'channel');
    const place = phrase('stones-at', { one: angleRound(closest.theta), other: angleRound(closest.other) });
    // the lower of two sources is the error: stones sorted to a few hundredths then touch and chip
    const limits = channelled ? { wanted: 0.05, least: 0.05 } : { wanted: 0.15, least: 0.1 };
    return [atLeastOf(view, 'girdle-gap', limits, closest.gap, place)];
  },
};

/** [stone across the row, wall], mm: a larger stone is harder to push home and takes harder knocks. */
export const SEAT_WALLS = [
  [0.8, 0.35],
  [1.5, 0.4],
  [2.5, 0.5],
  [5, 0.8],
] as const;

/** At the surface it is told up to where the lane's edge is softened. */
const wallBesideSeat: SetRule = {
  rule: 'wall-beside-seat',
  severity: 'warning',
  source: `0.35 mm beside stones of 0.8 mm, the smallest reported: orchid.ganoksin.com/t/channel-set-size-limit/45641; walls from 0.4 mm, broad areas from 0.5 mm: ${CAST_SOURCE}; 0.8 mm: ${FILE_SOURCE}; at stones of 1.5, 2.5 and 5 mm and between: common practice`,
  measureSet: (set, view) => {
    const left = ({ wall, rim }: RowPlan['places'][number]) => Math.min(wall, rim);
    const worst = set.places.reduce((a, b) => (left(b) < left(a) ? b : a));
    const limit = limitOf(view, 'wall-beside-seat', between(SEAT_WALLS, set.design.diameterMm));
    return [
      atLeast(limit, left(worst), phrase('row-at', { row: { name: set.name }, at: angleRound(worst.theta) })),
    ];
  },
};

/** The skin of the finger reaches into open seats, so a culet keeps its distance there too; through the bore it cuts. */
const floorUnderCulet: SetRule = {
  rule: 'floor-under-culet',
  severity: 'error',
  source: `0.2 mm, never through the bore: orchid.ganoksin.com/t/appropriate-gauge-for-flush-setting/34008; another asks 0.5 mm: ${PRODUCTION_SOURCE}`,
  measureSet: (set, view) => {
    const worst = set.places.reduce((a, b) => (b.culetAbove < a.culetAbove ? b : a));
    const open = isOpen(set);
    const place = phrase(open ? 'culet-open' : 'culet-closed', {
      row: { name: set.name },
      at: angleRound(worst.theta),
    });
    const limits = { wanted: 0.2, least: open ? 0 : 0.2 };
    return [atLeastOf(view, 'floor-under-culet', limits, worst.culetAbove, place)];
  },
};

/** Stones all round leave nowhere to cut the band open and join it again. */
const fullCircle: RowRule = {
  rule: 'full-circle',
  severity: 'info',
  source:
    'common practice: no plain metal to cut or add to, so it is made anew in the other size; a seller’s page says so too: thekaratstore.us/?p=168761',
  measureRow: ({ design, places, members }) =>
    places.closed
      ? [
          {
            passed: false,
            limit: phrase('plain-metal'),
            measured: phrase('stones-round', { count: { name: String(members.length) } }),
            place: phrase('row', { row: { name: design.name } }),
          },
        ]
      : [],
};

/** What casts open and what is drilled: the investment's core in a hole that is deeper than wide breaks away. */
const holeDepth: SetRule = {
  rule: 'hole-depth',
  severity: 'info',
  source: `no deeper than wide, else drilled after casting: ${CAST_SOURCE}`,
  measureSet: ({ seat, design, places, name }, view) => {
    if (!seat.hole) return [];
    const foot = (bore: number) => bore + (design.floorMm ?? 0);
    const deepest = Math.max(...places.map(({ bore }) => seat.bearingFoot - foot(bore)));
    const limit = limitOf(view, 'hole-depth', holeWidth(seat));
    return [atMost(limit, deepest, phrase('holes-of', { row: { name } }))];
  },
};

const holeWidthRule: SetRule = {
  rule: 'hole-width',
  severity: 'warning',
  source: CAST_SOURCE,
  measureSet: ({ seat, name }, view) =>
    seat.hole
      ? [atLeast(limitOf(view, 'hole-width', 0.2), holeWidth(seat), phrase('holes-of', { row: { name } }))]
      : [],
};

/** Metal that carries the stones: under the bearing of open seats, under the cut of others. */
const metalUnderSeat: SetRule = {
  rule: 'metal-under-seat',
  severity: 'warning',
  source: `common practice: floors of 0.4 mm in platinum, 0.5 mm in gold; cast walls: ${CAST_SOURCE}`,
  measureSet: (set, view) => {
    const { design, seat } = set;
    const left = set.places.map(({ bore, highBore, theta }) => ({
      value: design.floorMm ?? seat.bearingFoot - (isOpen(set) ? highBore : bore),
      theta,
    }));
    const worst = left.reduce((a, b) => (b.value < a.value ? b : a));
    const what = isOpen(set)
      ? 'under-bearings'
      : design.floorMm === undefined
        ? 'under-seats'
        : 'under-holes';
    const place = phrase(what, { row: { name: set.name }, at: angleRound(worst.theta) });
    return [atLeast(limitOf(view, 'metal-under-seat', 0.4), worst.value, place)];
  },
};

/** Grains and lips reach over girdles that lie in the metal. Claws hold proud stones as well. */
const girdleDepth: SetRule = {
  rule: 'girdle-depth',
  severity: 'warning',
  source:
    'common practice: grain set girdles 0.05–0.15 mm below the surface, deeper for stones above 1.5 mm as long as the table stays free',
  measureSet: ({ design, stone, places, name }, view) => {
    if (design.setting.style !== 'grain') return [];
    const shallow = Math.min(...places.map(({ surface }) => surface));
    const deep = Math.max(...places.map(({ surface }) => surface));
    const least = limitOf(view, 'girdle-depth', 0.05);
    const most = design.diameterMm <= 1.5 ? Math.min(0.15, stone.tableHeight) : stone.tableHeight;
    return [
      {
        passed: shallow >= least - 1e-9 && deep <= most + 1e-6,
        limit: phrase('from-to', { from: { mm: least }, to: { mm: most } }),
        measured:
          deep - shallow < 5e-4
            ? { mm: shallow }
            : phrase('from-to', { from: { mm: shallow }, to: { mm: deep } }),
        place: phrase('girdles-below', { row: { name } }),
        margin: Math.min(shallow - least, most - deep),
      },
    ];
  },
};

/** Tables that stand out of the wearing surface, usual most, mm. */
const TABLE_OVER = {
  channel: 0.05,
  flush: 0.02,
  grain: 0.15,
  'shared-claws': 0.35,
  bezel: 2,
  head: 4,
  none: 0.35,
} as const;

const TABLES = { outside: 'tables-over', bore: 'tables-in-bore', face: 'tables-in-face' } as const;

const tableHeight: SetRule = {
  rule: 'table-height',
  severity: 'info',
  source:
    'common practice: tables level with the metal or just above; claw-set stones up to 0.35 mm above wear and catch more, stones raised in bezels up to 2 mm, on heads up to 4 mm',
  measureSet: ({ design, stone, places, name }, view) => {
    const wearing = design.inside ? boreSurface(view.design) : outsideSurface(view.design);
    const heights = places.map(({ frame, theta, surface }) => ({
      value: stone.tableHeight - (design.face ? surface : axisHeight(frame, wearing)),
      theta,
    }));
    const worst = heights.reduce((a, b) => (b.value > a.value ? b : a));
    const limit = limitOf(view, 'table-height', TABLE_OVER[design.setting.style]);
    const over = TABLES[rowSide(design)];
    const place = phrase(over, { row: { name }, at: angleRound(worst.theta) });
    return [atMost(limit, worst.value, place)];
  },
};

const DEGREE = 180 / Math.PI;

/** The cone that carries a round stone against its pavilion mains; others lie in a seat of their own form. */
const bearingAngle: SetRule = {
  rule: 'bearing-angle',
  severity: 'warning',
  source: 'common practice: a bearing cut to the pavilion’s angle carries it all round, and not on a line',
  measureSet: ({ stone, seat, name }) => {
    const mains = stone.planes.filter(({ facet, n }) => facet === 'main' && n[2] < 0);
    if (!stone.cone || mains.length === 0) return [];
    const pavilion = DEGREE * Math.acos(-mains[0].n[2]);
    const width = radiusOf(seat.opening) - radiusOf(seat.hole);
    const bearing = DEGREE * Math.atan2(seat.bearingTop - seat.bearingFoot, width);
    const off = Math.abs(bearing - pavilion);
    return [
      {
        passed: off <= 2,
        limit: phrase('near-pavilion', {
          tolerance: { degrees: 2, digits: 0 },
          angle: { degrees: pavilion, digits: 1 },
        }),
        measured: { degrees: bearing, digits: 1 },
        place: phrase('bearings-of', { row: { name } }),
        margin: 2 - off,
      },
    ];
  },
};

export const STONE_RULES: readonly BenchRule[] = [
  girdleGap,
  wallBesideSeat,
  metalUnderSeat,
  floorUnderCulet,
  girdleDepth,
  tableHeight,
  bearingAngle,
  holeWidthRule,
  holeDepth,
  fullCircle,
];
