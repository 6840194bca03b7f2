import type { Lane } from '../band/lane.ts';
import { mm, problem } from '../band/problem-words.ts';
import { type RowDesign, sortsOf } from '../plan/design.ts';
import type { SettingDesign } from '../plan/setting-design.ts';
import type { Refusal, Result } from '../problem.ts';
import { rowCurve } from './row-curve.ts';
import { largestCount, type RowLayout, type Span, spreadRow } from './row-layout.ts';
import { leastSeparation } from './separation.ts';
import { standingFrame } from './standing.ts';
import { alongRow, cutStone, type Frame, type Stone } from './stone.ts';
import type { OrderedStone } from './stone-order.ts';

/** A stone of a row where it stands, before anything is known of the metal round it. */
export interface StonePlace {
  sized: OrderedStone;
  stone: Stone;
  frame: Frame;
  /** depth of its girdle plane below the lane's surface, mm */
  depth: number;
  /** how far off the lane's middle, mm */
  across: number;
}

/** All stones of a row. */
export interface StonePlaces {
  stones: StonePlace[];
  /** indices of the stones of each line in order; one line unless the row is staggered */
  lines: number[][];
  /** the last stone of a line is the first one's neighbour */
  closed: boolean;
  /** least distance between neighbours, mm; infinite for a single stone */
  gapMm: number;
}

/** Cuts stones when they are first asked for: a row has few sizes and many places. */
export type StoneCutter = (sized: Pick<OrderedStone, 'cut' | 'diameterMm' | 'lengthMm'>) => Stone;

export function stoneCutter(): StoneCutter {
  const cut = new Map<string, Stone>();
  return ({ cut: name, diameterMm, lengthMm }) => {
    const key = `${name} ${diameterMm} ${lengthMm}`;
    const known = cut.get(key) ?? cutStone(name, diameterMm, lengthMm);
    cut.set(key, known);
    return known;
  };
}

/** Whether stones are sunk until their tables lie level with the metal, whatever set depth their row gives. */
const TABLES_LEVEL: Record<SettingDesign['style'], boolean> = {
  'shared-claws': false,
  channel: false,
  flush: true,
  grain: false,
  bezel: false,
  head: false,
  none: false,
};

/** Depth of a stone's girdle plane: the row's, or that which brings the table level with the metal. */
export function depthIn(row: RowDesign): (stone: Stone) => number {
  const { coverMm = 0 } = row;
  return TABLES_LEVEL[row.setting.style] ? ({ tableHeight }) => tableHeight + coverMm : () => row.setDepthMm;
}

export function single(row: RowDesign): OrderedStone {
  const [{ name, cut, diameterMm, lengthMm }] = sortsOf(row);
  return { name, cut, diameterMm, ...(lengthMm === undefined ? {} : { lengthMm }), sort: 0 };
}

/** Equal stones at the angles of a layout. */
export function equalPlaces(
  row: RowDesign,
  lane: Lane,
  stone: Stone,
  angles: number[],
  closed: boolean,
  across = 0,
): StonePlaces {
  const depth = depthIn(row)(stone);
  const sized = single(row);
  const stones = angles.map((theta) => ({
    sized,
    stone,
    frame: standingFrame(row, lane, stone, depth, theta, across),
    depth,
    across,
  }));
  return { stones, lines: [stones.map((_, i) => i)], closed, gapMm: 0 };
}

/** Least distance between stones whose indices are paired, mm; infinite without pairs. */
export function leastGap(stones: StonePlace[], pairs: [number, number][]): number {
  return Math.min(
    ...pairs.map(([a, b]) =>
      leastSeparation(stones[a].stone, stones[a].frame, stones[b].stone, stones[b].frame),
    ),
  );
}

export function layOutAt(
  row: RowDesign,
  coverage: Span,
  lane: Lane,
  depth: number,
  pitch: number,
  path: string,
  across = 0,
): Result<RowLayout> {
  const curve = rowCurve(lane, depth, across);
  const size = alongRow(row);
  const largest = largestCount(curve, pitch, coverage, size);
  const least = coverage.kind === 'full' ? 3 : 1;
  const count = row.count === 'fit' ? largest : row.count;
  const layout = count >= least ? spreadRow(curve, count, pitch, coverage, size) : undefined;
  if (count > largest) {
    const gap = layout?.closed ? layout.chord - size : undefined;
    return tooMany(row, `${mm(size)}`, count, largest, gap, path);
  }
  return layout ?? noRoom(least, mm(size), count, path);
}

export function tooMany(
  row: RowDesign,
  size: string,
  count: number,
  largest: number,
  gapMm: number | undefined,
  path: string,
): Refusal {
  const gap = gapMm === undefined ? '' : `, which leaves gaps of ${mm(gapMm)}`;
  const expected = `at most ${largest} stones of ${size} with gaps of ${mm(row.leastGapMm)}`;
  const advice = "Use fewer or smaller stones, or 'fit'.";
  return { problems: [problem('too-many-stones', `${path}.count`, expected, `${count}${gap}`, advice)] };
}

export function noRoom(least: number, size: string, count: number, path: string): Refusal {
  const expected = `room for at least ${least} stones of ${size}`;
  const received = `room for ${count}`;
  return { problems: [problem('no-room-for-stones', path, expected, received, 'Use smaller stones.')] };
}
