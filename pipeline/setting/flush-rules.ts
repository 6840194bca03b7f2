import { phrase } from '../trade/bench-words.ts';
import { atLeast, atMost, type BenchRule, CAST_SOURCE, type SetRule } from './bench-rule.ts';
import { holeWidth } from './seat.ts';

const METHOD_SOURCE = 'ganoksin.com/article/flush-mount-diamond-setting';
const GAUGE_SOURCE = 'orchid.ganoksin.com/t/appropriate-gauge-for-flush-setting/34008';

const flushMetal: SetRule = {
  rule: 'flush-metal',
  severity: 'error',
  source: `metal for the whole stone and 0.2 mm more: ${GAUGE_SOURCE}`,
  measureSet: ({ flush, name, places, stone }) => {
    if (!flush) return [];
    const thinnest = Math.min(...places.map(({ surface, bore }) => surface - bore));
    return [atLeast(stone.solid.depthMm + 0.2, thinnest, phrase('metal-at-stones', { row: { name } }))];
  },
};

const flushHole: SetRule = {
  rule: 'flush-hole',
  severity: 'warning',
  source: `hole of 85 % of the stone before the seat is cut: ${METHOD_SOURCE}`,
  measureSet: ({ flush, design, name, seat }) =>
    flush && seat.hole
      ? [atMost(0.85 * design.diameterMm, holeWidth(seat), phrase('through-holes', { row: { name } }))]
      : [],
};

const flushLip: SetRule = {
  rule: 'flush-lip',
  severity: 'warning',
  source: 'common practice: metal burnished at least 0.05 mm over the girdle',
  measureSet: ({ flush, design, name }) =>
    flush ? [atLeast(0.05, design.diameterMm / 2 - flush.radius, phrase('lip-over', { row: { name } }))] : [],
};

const flushWall: SetRule = {
  rule: 'flush-wall',
  severity: 'warning',
  source: CAST_SOURCE,
  measureSet: ({ flush, name, lane }) =>
    flush
      ? [atLeast(0.4, flush.wall, phrase('beside-openings', { lane: { name: lane.name }, row: { name } }))]
      : [],
};

export const FLUSH_RULES: readonly BenchRule[] = [flushMetal, flushHole, flushLip, flushWall];
