import type { Lane } from '../band/lane.ts';
import { mm, problem } from '../band/problem-words.ts';
import { midRadius } from '../band/profile.ts';
import type { RowDesign } from '../plan/design.ts';
import { isRefused, type Result } from '../problem.ts';
import {
  depthIn,
  equalPlaces,
  layOutAt,
  leastGap,
  type StoneCutter,
  type StonePlaces,
  single,
} from './equal-places.ts';
import { neighbourPairs, rowCurve } from './row-curve.ts';
import { largestCount, type Span } from './row-layout.ts';
import { alongRow, type Stone } from './stone.ts';

/** Equal stones in two lines, the second midway between those of the first; the least gap holds across as well. */
export function placeStaggered(
  row: RowDesign,
  coverage: Span,
  lane: Lane,
  cutter: StoneCutter,
  path: string,
): Result<StonePlaces> {
  const stone = cutter(single(row));
  const least = alongRow(row) + row.leastGapMm;
  const at = (pitch: number) => staggeredAt(row, coverage, lane, stone, pitch, path);
  let near = at(least);
  if (isRefused(near) || near.gapMm >= row.leastGapMm - 1e-9) return near;
  // wider pitches part the lines' stones from each other as well
  let [low, high] = [least, 3 * least];
  for (let i = 0; i < 40 && high - low > 1e-6; i++) {
    const pitch = (low + high) / 2;
    const found = at(pitch);
    if (isRefused(found)) return found;
    if (found.gapMm >= row.leastGapMm - 1e-9) {
      high = pitch;
      near = found;
    } else low = pitch;
  }
  if (near.gapMm >= row.leastGapMm - 1e-9) return near;
  const expected = `lines far enough apart for gaps of ${mm(row.leastGapMm)}`;
  const advice = 'Move the lines apart or use smaller stones.';
  return { problems: [problem('stagger-too-close', `${path}.stagger`, expected, mm(near.gapMm), advice)] };
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
  return isRefused(found) ? undefined : found.gapMm;
}

function staggeredAt(
  row: RowDesign,
  coverage: Span,
  lane: Lane,
  stone: Stone,
  pitch: number,
  path: string,
): Result<StonePlaces> {
  const across = row.stagger!.apartMm / 2;
  const depth = depthIn(row)(stone);
  const layout = layOutAt(row, coverage, lane, depth, pitch, path, -across);
  if (isRefused(layout)) return layout;
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
