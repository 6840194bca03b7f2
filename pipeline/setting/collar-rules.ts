import { phrase } from '../trade/bench-words.ts';
import { atLeast, type BenchRule, CAST_SOURCE, type SetRule } from './bench-rule.ts';
import { between } from './between.ts';

/** [stone, wall], mm: what pushes over the girdle of a large stone must be thicker to hold it. */
const BEZEL_WALLS = [
  [1.5, 0.3],
  [3, 0.4],
  [6, 0.6],
] as const;

const collarWall: SetRule = {
  rule: 'collar-wall',
  severity: 'warning',
  source: `walls from 0.4 mm: ${CAST_SOURCE}; 0.3 mm round stones of 1.5 mm and 0.6 mm from 6 mm: common practice`,
  measureSet: ({ collar, design, name }) =>
    collar
      ? [
          atLeast(
            between(BEZEL_WALLS, design.diameterMm),
            collar.wall,
            phrase('collars-of', { row: { name } }),
          ),
        ]
      : [],
};

/** Of the stone's diameter that the metal pushed over it should reach inwards. */
const LIP_SHARE = 0.025;

const bezelLip: SetRule = {
  rule: 'bezel-lip',
  severity: 'warning',
  source: 'common practice: metal pushed over the girdle by 0.08 mm, and by 2.5 % of larger stones',
  measureSet: ({ collar, design, name }) => {
    if (!collar?.lip) return [];
    const over = design.diameterMm / 2 - collar.lip.radius;
    const limit = Math.max(0.08, LIP_SHARE * design.diameterMm);
    return [atLeast(limit, over, phrase('lip-over', { row: { name } }))];
  },
};

/** Least of the girdle that lies under metal. */
const LEAST_HELD = 0.4;

const bezelHold: SetRule = {
  rule: 'bezel-hold',
  severity: 'error',
  source: 'common practice: the two walls of a half bezel hold at least 40 % of the girdle',
  measureSet: ({ collar, stone, name }) => {
    if (!collar?.open || stone.girdle.kind !== 'round') return [];
    const held = 1 - Math.asin(Math.min(1, collar.open.half / stone.girdle.radius)) / (Math.PI / 2);
    return [
      {
        passed: held >= LEAST_HELD - 1e-9,
        limit: phrase('at-least', { limit: { share: LEAST_HELD, digits: 0 } }),
        measured: { share: held, digits: 0 },
        place: phrase('girdle-held', { row: { name } }),
        margin: held - LEAST_HELD,
      },
    ];
  },
};

export const COLLAR_RULES: readonly BenchRule[] = [collarWall, bezelLip, bezelHold];
