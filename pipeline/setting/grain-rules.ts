import { phrase } from '../trade/bench-words.ts';
import {
  atLeast,
  atMost,
  type BenchRule,
  CAST_SOURCE,
  limitOf,
  type RowRule,
  type SetRule,
} from './bench-rule.ts';
import { heightFinding, leastBite, PRONG_SOURCE, pinsAt, pinsOf, thinnest } from './claw-rules.ts';

const MICRO_SOURCE = 'jewellersreviews.com/inside-a-micro-pave-workshop-why-stones-keep-falling-out (weak)';

const grainDiameter: SetRule = {
  rule: 'grain-diameter',
  severity: 'warning',
  source: `0.2–0.4 mm on a 1 mm stone, much weaker at 0.2 than at 0.35 mm: ${MICRO_SOURCE}; at most 0.4 of larger stones: common practice`,
  measureSet: (set, view) => {
    const { whole, design, name } = set;
    if (!whole.grain) return [];
    const diameter = thinnest(pinsOf(set, whole.grain.grains));
    const place = phrase('grains-of', { row: { name } });
    return [
      atLeast(limitOf(view, 'grain-diameter', 0.2), diameter, place),
      atMost(0.4 * Math.max(1, design.diameterMm), diameter, place),
    ];
  },
};

const grainBite: SetRule = {
  rule: 'grain-bite',
  severity: 'error',
  source: 'common practice: four grains reach at least 0.03 mm over every girdle',
  measureSet: (set, view) => {
    const { grain } = set.whole;
    if (!grain) return [];
    const { bite, where } = leastBite(set, grain.grains, 'grains');
    return [atLeast(limitOf(view, 'grain-bite', 0.03), bite, where)];
  },
};

const grainHeight: SetRule = {
  rule: 'grain-height',
  severity: 'info',
  source: `as prongs, 60–80 % of the height from girdle to table: ${PRONG_SOURCE}`,
  measureSet: (set, view) => {
    const { grain } = set.whole;
    if (!grain) return [];
    const near = set.places.flatMap((place) => pinsAt(set, place, grain.grains));
    const tip = Math.min(...near.map((pin) => pin.tip));
    const place = phrase('grains-of', { row: { name: set.name } });
    return [heightFinding(tip / set.stone.tableHeight, limitOf(view, 'grain-height', 0.6), place)];
  },
};

const grainSink: RowRule = {
  rule: 'grain-sink',
  severity: 'warning',
  source: 'common practice: a grain is one with the metal under it, half its diameter deep and more',
  measureRow: ({ grain, design }, view) => {
    if (!grain) return [];
    const sink = grain.floor - Math.max(...grain.grains.map(({ foot }) => foot));
    const least =
      limitOf(view, 'grain-sink', 0.5) * 2 * Math.max(...grain.grains.map(({ radius }) => radius));
    return [atLeast(least, sink, phrase('grains-below', { row: { name: design.name } }))];
  },
};

const grainRail: RowRule = {
  rule: 'grain-rail',
  severity: 'warning',
  source: 'common practice: a rail of 0.3 mm is left between field and edge, for wear and polish',
  measureRow: ({ grain, design, lane }, view) =>
    grain
      ? [
          atLeast(
            limitOf(view, 'grain-rail', 0.3),
            grain.rail,
            phrase('beside-field', { lane: { name: lane.name }, row: { name: design.name } }),
          ),
        ]
      : [],
};

const grainFloor: RowRule = {
  rule: 'grain-floor',
  severity: 'error',
  source: CAST_SOURCE,
  measureRow: ({ grain, design }, view) =>
    grain
      ? [
          atLeast(
            limitOf(view, 'grain-floor', 0.4),
            grain.under,
            phrase('under-field', { row: { name: design.name } }),
          ),
        ]
      : [],
};

export const GRAIN_RULES: readonly BenchRule[] = [
  grainDiameter,
  grainBite,
  grainHeight,
  grainSink,
  grainRail,
  grainFloor,
];
