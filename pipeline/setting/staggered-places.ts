import type { Lane } from '../band/lane.ts';
import { mm, problem } from '../band/problem-words.ts';
import { midRadius } from '../band/profile.ts';
import { linesOf, type RowDesign } from '../plan/design.ts';
import { isRefused, type Result } from '../problem.ts';
import {
  depthIn,
  equalPlaces,
  layOutAt,
  leastGap,
  type StoneCutter,
  type StonePlace,
  type StonePlaces,
  single,
} from './equal-places.ts';
import { neighbourPairs, rowCurve } from './row-curve.ts';
import { largestCount, type Span } from './row-layout.ts';
import { alongRow, type Stone } from './stone.ts';

/** Equal stones in lines, each second one midway between those of the first; the least gap holds across as well. */
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
 * The gap that open lines have when the first, of `count` stones, fills its part of the band: negative where stones
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
  const curve = rowCurve(lane, depthIn(row)(stone), acrossOf(row)[0]);
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
  const [first, ...others] = acrossOf(row);
  const depth = depthIn(row)(stone);
  const layout = layOutAt(row, coverage, lane, depth, pitch, path, first);
  if (isRefused(layout)) return layout;
  const { angles, closed } = layout;
  const ends = closed ? [...angles, angles[0] + 2 * Math.PI] : angles;
  const between = ends.slice(1).map((theta, i) => (theta + ends[i]) / 2);
  const stones: StonePlace[] = [];
  const lines = [first, ...others].map((across, k) => {
    const own = equalPlaces(row, lane, stone, k % 2 === 0 ? angles : between, closed, across).stones;
    return own.map((place) => stones.push(place) - 1);
  });
  const pairs = lines.flatMap((line, k): [number, number][] => [
    ...neighbourPairs(line.length, closed).map(([a, b]): [number, number] => [line[a], line[b]]),
    ...(k === 0 ? [] : crossings(lines[k - 1], line, k, angles.length)),
  ]);
  return { stones, lines, closed, gapMm: leastGap(stones, pairs) };
}

/** Neighbours in two lines: a stone of the midway line, whose number is odd, has one on either side in the other. */
function crossings(before: number[], line: number[], k: number, n: number): [number, number][] {
  const [whole, midway] = k % 2 === 1 ? [before, line] : [line, before];
  return midway.flatMap((own, i): [number, number][] => [
    [whole[i], own],
    [whole[(i + 1) % n], own],
  ]);
}

/** How far off the lane's middle each line runs, the first line first; mm. */
function acrossOf(row: RowDesign): number[] {
  const lines = linesOf(row);
  return Array.from({ length: lines }, (_, k) => (k - (lines - 1) / 2) * row.stagger!.apartMm);
}
