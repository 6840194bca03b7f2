import type { Lane } from '../band/lane.ts';
import { mm, problem } from '../band/problem-words.ts';
import { midRadius } from '../band/profile.ts';
import { type RowDesign, sortsOf } from '../plan/design.ts';
import { isRefused, type Result } from '../problem.ts';
import { CUTS } from '../trade/cuts.ts';
import {
  depthIn,
  equalPlaces,
  layOutAt,
  leastGap,
  noRoom,
  type StoneCutter,
  type StonePlace,
  type StonePlaces,
  single,
  tooMany,
} from './equal-places.ts';
import { neighbourPairs, rowCurve } from './row-curve.ts';
import { placeAtAngles, type Span } from './row-layout.ts';
import { fillingGap, frameOf, type Line, placesWithGap, reachAlong, slack } from './spread.ts';
import { placeStaggered } from './staggered-places.ts';
import type { Stone } from './stone.ts';
import { isCountOf, isUneven, stoneOrder } from './stone-order.ts';

/** Finds the places of a row's stones, or says why there are none. */
export function placeStones(
  row: RowDesign,
  lane: Lane,
  cutter: StoneCutter,
  path: string,
): Result<StonePlaces> {
  if (row.coverage.kind === 'angles') return placeListed(row, row.coverage.anglesRad, lane, cutter, path);
  if (!row.stagger && (isUneven(row) || !CUTS.get(row.cut)!.round))
    return placeUneven(row, { ...lineOf(row, lane), coverage: row.coverage }, cutter, path);
  if (row.stagger) return placeStaggered(row, row.coverage, lane, cutter, path);
  return placeRound(row, row.coverage, lane, cutter, path);
}

export function lineOf(row: RowDesign, lane: Lane): Omit<Line, 'coverage'> {
  return { lane, row, depthOf: depthIn(row) };
}

/** Equal round stones are as far apart as their centres say: equal chords are equal gaps. */
function placeRound(
  row: RowDesign,
  coverage: Span,
  lane: Lane,
  cutter: StoneCutter,
  path: string,
): Result<StonePlaces> {
  const stone = cutter(single(row));
  const pitch = row.diameterMm + row.leastGapMm;
  const layout = layOutAt(row, coverage, lane, depthIn(row)(stone), pitch, path);
  if (isRefused(layout)) return layout;
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
): Result<StonePlaces> {
  if (anglesRad.length === 0 || (row.count !== 'fit' && row.count !== anglesRad.length)) {
    const expected = "'fit' or as many as there are angles, and at least one";
    const received = `${row.count} with ${anglesRad.length} angles`;
    return {
      problems: [problem('count-of-angles', `${path}.count`, expected, received, 'Leave the count out.')],
    };
  }
  const stone = cutter(single(row));
  const { angles } = placeAtAngles(rowCurve(lane, depthIn(row)(stone)), anglesRad);
  const found = equalPlaces(row, lane, stone, angles, false);
  // the last may come close to the first, round the back
  const gapMm = leastGap(found.stones, neighbourPairs(angles.length, true));
  if (gapMm >= row.leastGapMm - 1e-9) return { ...found, gapMm };
  const expected = `gaps of at least ${mm(row.leastGapMm)} between the stones`;
  const advice = 'Move the angles apart or use smaller stones.';
  return { problems: [problem('angles-too-close', `${path}.coverage`, expected, mm(gapMm), advice)] };
}

/**
 * Stones with one gap between all neighbours, as many as keep the least gap: stones that differ, and those that are not
 * round and come closer where the row bends.
 */
function placeUneven(row: RowDesign, line: Line, cutter: StoneCutter, path: string): Result<StonePlaces> {
  const closed = line.coverage.kind === 'full';
  const stonesOf = (count: number) => stoneOrder(row, count, closed).map(cutter);
  const sizes = sortsOf(row).map(({ diameterMm }) => mm(diameterMm));
  const largest = mostUneven(line, stonesOf, closed);
  const count = row.count === 'fit' ? largest : row.count;
  if (!isCountOf(row, Math.max(1, count), closed)) {
    const expected = closed ? 'whole turns of its stones' : 'an odd number of stones about the centre';
    return {
      problems: [
        problem('count-of-turns', `${path}.count`, expected, `${count}`, "Use 'fit' or another count."),
      ],
    };
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
    return { sized: order[i], stone, frame: frameOf(line, stone, angles[i]), depth, across: 0 };
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
