import { mm } from '../band/design-problems.ts';
import type { Lane } from '../band/lane.ts';
import { problem } from '../band/problem-words.ts';
import { midRadius } from '../band/profile.ts';
import { type RowDesign, sortsOf } from '../catalogue/design.ts';
import type { Problem } from '../problem.ts';
import { CUTS } from '../trade/cuts.ts';
import { neighbourPairs, rowCurve, rowFrame } from './row-curve.ts';
import { largestCount, placeAtAngles, type RowLayout, type Span, spreadRow } from './row-layout.ts';
import { leastSeparation } from './separation.ts';
import { fillingGap, type Line, placesWithGap, reachAlong, slack } from './spread.ts';
import { alongRow, cutStone, type Frame, type Stone } from './stone.ts';
import { isCountOf, isUneven, type OrderedStone, stoneOrder } from './stone-order.ts';

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

/** Depth of a stone's girdle plane: the row's, or for flush stones that which brings the table level with the metal. */
export function depthIn(row: RowDesign): (stone: Stone) => number {
  return row.setting.style === 'flush' ? ({ tableHeight }) => tableHeight : () => row.setDepthMm;
}

/** Finds the places of a row's stones, or says why there are none. */
export function placeStones(
  row: RowDesign,
  lane: Lane,
  cutter: StoneCutter,
  path: string,
): StonePlaces | Problem[] {
  if (row.coverage.kind === 'angles') return placeListed(row, row.coverage.anglesRad, lane, cutter, path);
  if (!row.stagger && (isUneven(row) || !CUTS.get(row.cut)!.round))
    return placeUneven(row, { ...lineOf(row, lane), coverage: row.coverage }, cutter, path);
  if (row.stagger) return placeStaggered(row, row.coverage, lane, cutter, path);
  return placeRound(row, row.coverage, lane, cutter, path);
}

export function lineOf(row: RowDesign, lane: Lane): Omit<Line, 'coverage'> {
  return { lane, row, depthOf: depthIn(row) };
}

function single(row: RowDesign): OrderedStone {
  const [{ name, cut, diameterMm, lengthMm }] = sortsOf(row);
  return { name, cut, diameterMm, ...(lengthMm === undefined ? {} : { lengthMm }), sort: 0 };
}

/** Equal stones at the angles of a layout. */
function equalPlaces(
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
    frame: rowFrame(lane, depth, theta, across),
    depth,
    across,
  }));
  return { stones, lines: [stones.map((_, i) => i)], closed, gapMm: 0 };
}

/** Least distance between stones whose indices are paired, mm; infinite without pairs. */
function leastGap(stones: StonePlace[], pairs: [number, number][]): number {
  return Math.min(
    ...pairs.map(([a, b]) =>
      leastSeparation(stones[a].stone, stones[a].frame, stones[b].stone, stones[b].frame),
    ),
  );
}

/** Equal round stones are as far apart as their centres say: equal chords are equal gaps. */
function placeRound(
  row: RowDesign,
  coverage: Span,
  lane: Lane,
  cutter: StoneCutter,
  path: string,
): StonePlaces | Problem[] {
  const stone = cutter(single(row));
  const pitch = row.diameterMm + row.leastGapMm;
  const layout = layOutAt(row, coverage, lane, depthIn(row)(stone), pitch, path);
  if (Array.isArray(layout)) return layout;
  const { angles, closed, chord } = layout;
  const gapMm = chord > 0 ? chord - row.diameterMm : Number.POSITIVE_INFINITY;
  return { ...equalPlaces(row, lane, stone, angles, closed), gapMm };
}

/** Stones where the file puts them, as long as they keep the least gap. */
function placeListed(
  row: RowDesign,
  anglesRad: number[],
  lane: Lane,
  cutter: StoneCutter,
  path: string,
): StonePlaces | Problem[] {
  if (anglesRad.length === 0 || (row.count !== 'fit' && row.count !== anglesRad.length)) {
    const expected = "'fit' or as many as there are angles, and at least one";
    const received = `${row.count} with ${anglesRad.length} angles`;
    return [problem('count-of-angles', `${path}.count`, expected, received, 'Leave the count out.')];
  }
  const stone = cutter(single(row));
  const { angles } = placeAtAngles(rowCurve(lane, depthIn(row)(stone)), anglesRad);
  const found = equalPlaces(row, lane, stone, angles, false);
  // the last may come close to the first, round the back
  const gapMm = leastGap(found.stones, neighbourPairs(angles.length, true));
  if (gapMm >= row.leastGapMm - 1e-9) return { ...found, gapMm };
  const expected = `gaps of at least ${mm(row.leastGapMm)} between the stones`;
  const advice = 'Move the angles apart or use smaller stones.';
  return [problem('angles-too-close', `${path}.coverage`, expected, mm(gapMm), advice)];
}

function layOutAt(
  row: RowDesign,
  coverage: Span,
  lane: Lane,
  depth: number,
  pitch: number,
  path: string,
  across = 0,
): RowLayout | Problem[] {
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

function tooMany(
  row: RowDesign,
  size: string,
  count: number,
  largest: number,
  gapMm: number | undefined,
  path: string,
): Problem[] {
  const gap = gapMm === undefined ? '' : `, which leaves gaps of ${mm(gapMm)}`;
  const expected = `at most ${largest} stones of ${size} with gaps of ${mm(row.leastGapMm)}`;
  const advice = "Use fewer or smaller stones, or 'fit'.";
  return [problem('too-many-stones', `${path}.count`, expected, `${count}${gap}`, advice)];
}

function noRoom(least: number, size: string, count: number, path: string): Problem[] {
  const expected = `room for at least ${least} stones of ${size}`;
  return [problem('no-room-for-stones', path, expected, `room for ${count}`, 'Use smaller stones.')];
}

/**
 * Stones with one gap between all neighbours, as many as keep the least gap: stones that differ, and those that are not
 * round and come closer where the row bends.
 */
function placeUneven(row: RowDesign, line: Line, cutter: StoneCutter, path: string): StonePlaces | Problem[] {
  const closed = line.coverage.kind === 'full';
  const stonesOf = (count: number) => stoneOrder(row, count, closed).map(cutter);
  const sizes = sortsOf(row).map(({ diameterMm }) => mm(diameterMm));
  const largest = mostUneven(line, stonesOf, closed);
  const count = row.count === 'fit' ? largest : row.count;
  if (!isCountOf(row, Math.max(1, count), closed)) {
    const expected = closed ? 'whole turns of its stones' : 'an odd number of stones about the centre';
    return [problem('count-of-turns', `${path}.count`, expected, `${count}`, "Use 'fit' or another count.")];
  }
  if (count > largest) {
    return tooMany(row, sizes.join(' and '), count, largest, fillingGap(line, stonesOf(count)), path);
  }
  const order = stoneOrder(row, count, closed);
  const stones = order.map(cutter);
  const gapMm = closed ? fillingGap(line, stones) : row.leastGapMm;
  const angles = gapMm === undefined || count < 1 ? undefined : placesWithGap(line, stones, gapMm);
  if (!angles || gapMm === undefined) return noRoom(closed ? 3 : 1, sizes.join(' and '), count, path);
  const placed = stones.map((stone, i): StonePlace => {
    const depth = line.depthOf(stone);
    return { sized: order[i], stone, frame: rowFrame(line.lane, depth, angles[i]), depth, across: 0 };
  });
  return {
    stones: placed,
    lines: [placed.map((_, i) => i)],
    closed,
    gapMm: leastGap(placed, neighbourPairs(count, closed)),
  };
}

/** The largest count that the row can have and that keeps the least gap; 0 if there is none. */
function mostUneven(line: Line, stonesOf: (count: number) => Stone[], closed: boolean): number {
  const { row } = line;
  const smallest = Math.min(row.diameterMm, ...stonesOf(closed ? 12 : 9).map(reachAlong));
  const room = (2 * Math.PI * midRadius(line.lane.outer) * 1.5) / (0.9 * smallest + row.leastGapMm);
  const counts = Array.from({ length: Math.min(600, Math.ceil(room)) }, (_, i) => i + 1).filter((n) =>
    isCountOf(row, n, closed),
  );
  let low = -1;
  let high = counts.length;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (slack(line, stonesOf(counts[middle]), row.leastGapMm) >= -1e-9) low = middle;
    else high = middle;
  }
  return low < 0 ? 0 : counts[low];
}

/** Equal stones in two lines, the second midway between those of the first; the least gap holds across as well. */
function placeStaggered(
  row: RowDesign,
  coverage: Span,
  lane: Lane,
  cutter: StoneCutter,
  path: string,
): StonePlaces | Problem[] {
  const stone = cutter(single(row));
  const least = alongRow(row) + row.leastGapMm;
  const at = (pitch: number) => staggeredAt(row, coverage, lane, stone, pitch, path);
  let near = at(least);
  if (Array.isArray(near) || near.gapMm >= row.leastGapMm - 1e-9) return near;
  // wider pitches part the lines' stones from each other as well
  let [low, high] = [least, 3 * least];
  for (let i = 0; i < 40 && high - low > 1e-6; i++) {
    const pitch = (low + high) / 2;
    const found = at(pitch);
    if (Array.isArray(found)) return found;
    if (found.gapMm >= row.leastGapMm - 1e-9) {
      high = pitch;
      near = found;
    } else low = pitch;
  }
  if (near.gapMm >= row.leastGapMm - 1e-9) return near;
  const expected = `lines far enough apart for gaps of ${mm(row.leastGapMm)}`;
  const advice = 'Move the lines apart or use smaller stones.';
  return [problem('stagger-too-close', `${path}.stagger`, expected, mm(near.gapMm), advice)];
}

/**
 * The gap that two open lines have when the first, of `count` stones, fills its part of the band: negative where stones
 * would overlap, infinite for a single stone; undefined where so many do not fit even girdle to girdle.
 */
export function openStaggerGap(
  row: RowDesign,
  coverage: Span,
  lane: Lane,
  cutter: StoneCutter,
  count: number,
): number | undefined {
  const stone = cutter(single(row));
  const curve = rowCurve(lane, depthIn(row)(stone), -row.stagger!.apartMm / 2);
  const size = alongRow(row);
  const fits = (pitch: number) => largestCount(curve, pitch, coverage, size) >= count;
  let [low, high] = [size / 2, 2 * midRadius(lane.outer)];
  if (!fits(low)) return undefined;
  while (high - low > 1e-7) {
    const middle = (low + high) / 2;
    if (fits(middle)) low = middle;
    else high = middle;
  }
  const found = staggeredAt({ ...row, count }, coverage, lane, stone, low, '');
  return Array.isArray(found) ? undefined : found.gapMm;
}

function staggeredAt(
  row: RowDesign,
  coverage: Span,
  lane: Lane,
  stone: Stone,
  pitch: number,
  path: string,
): StonePlaces | Problem[] {
  const across = row.stagger!.apartMm / 2;
  const depth = depthIn(row)(stone);
  const layout = layOutAt(row, coverage, lane, depth, pitch, path, -across);
  if (Array.isArray(layout)) return layout;
  const { angles, closed } = layout;
  const ends = closed ? [...angles, angles[0] + 2 * Math.PI] : angles;
  const between = ends.slice(1).map((theta, i) => (theta + ends[i]) / 2);
  const first = equalPlaces(row, lane, stone, angles, closed, -across).stones;
  const second = equalPlaces(row, lane, stone, between, closed, across).stones;
  const stones = [...first, ...second];
  const n = first.length;
  const lines = [first.map((_, i) => i), second.map((_, i) => n + i)];
  const pairs: [number, number][] = [
    ...neighbourPairs(n, closed),
    ...neighbourPairs(second.length, closed).map(([a, b]): [number, number] => [n + a, n + b]),
    ...second.flatMap((_, i): [number, number][] => [
      [i, n + i],
      [(i + 1) % n, n + i],
    ]),
  ];
  return { stones, lines, closed, gapMm: leastGap(stones, pairs) };
}
