import { outsideSurface } from '../band/outside.ts';
import { angle, phrase } from '../trade/bench-words.ts';
import {
  atLeast,
  atMost,
  type BandRule,
  type BenchRule,
  CAST_SOURCE,
  limitOf,
  type SetRule,
} from './bench-rule.ts';
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
    'common practice: channels 0.05–0.15 mm, shared claws 0.10–0.20 mm; girdles must not overlap (a-set.be/techniques/pave)',
  measure: (view) => {
    const closest = closestPair(view.rows);
    if (!closest) return [];
    const channelled = view.rows.every(({ design }) => design.setting.style === 'channel');
    const place = phrase('stones-at', { one: angle(closest.theta), other: angle(closest.other) });
    return [atLeast(limitOf(view, 'girdle-gap', channelled ? 0.05 : 0.1), closest.gap, place)];
  },
};

const wallBesideSeat: SetRule = {
  rule: 'wall-beside-seat',
  severity: 'warning',
  source: 'smallest side walls reported, orchid.ganoksin.com/t/channel-set-size-limit/45641',
  measureSet: (set, view) => {
    const worst = set.places.reduce((a, b) => (b.wall < a.wall ? b : a));
    const limit = limitOf(view, 'wall-beside-seat', 0.35);
    return [
      atLeast(limit, worst.wall, phrase('row-at', { row: { name: set.name }, at: angle(worst.theta) })),
    ];
  },
};

const floorUnderCulet: SetRule = {
  rule: 'floor-under-culet',
  severity: 'error',
  source:
    'orchid.ganoksin.com/t/appropriate-gauge-for-flush-setting/34008: 0.2 mm, or open; never through the bore',
  measureSet: (set, view) => {
    const worst = set.places.reduce((a, b) => (b.culetAbove < a.culetAbove ? b : a));
    const open = isOpen(set);
    const place = phrase(open ? 'culet-open' : 'culet-closed', {
      row: { name: set.name },
      at: angle(worst.theta),
    });
    return [atLeast(limitOf(view, 'floor-under-culet', open ? 0 : 0.2), worst.culetAbove, place)];
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
    const place = phrase(what, { row: { name: set.name }, at: angle(worst.theta) });
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
const TABLE_OVER = { channel: 0.05, flush: 0.02, grain: 0.15, 'shared-claws': 0.35, none: 0.35 } as const;

const tableHeight: SetRule = {
  rule: 'table-height',
  severity: 'info',
  source:
    'common practice: tables level with the metal or just above; claw-set stones up to 0.35 mm above wear and catch more',
  measureSet: ({ design, stone, places, name }, view) => {
    const wearing = outsideSurface(view.design);
    const over = places.map(({ frame, theta }) => ({
      value: stone.tableHeight - axisHeight(frame, wearing),
      theta,
    }));
    const worst = over.reduce((a, b) => (b.value > a.value ? b : a));
    const limit = limitOf(view, 'table-height', TABLE_OVER[design.setting.style]);
    const place = phrase('tables-over', { row: { name }, at: angle(worst.theta) });
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
];
