import type { FitStep, RowFit } from '../band/built-shape.ts';
import { isRefused } from '../problem.ts';
import { inEnglish, phrase, type Words } from '../trade/bench-words.ts';
import type { StoneCutter } from './equal-places.ts';
import type { WholeRow } from './row-plan.ts';
import { fillingGap } from './spread.ts';
import { openStaggerGap } from './staggered-places.ts';
import { isCountOf, isUneven, stoneOrder } from './stone-order.ts';
import { lineOf, placeStones } from './stone-places.ts';
import type { PlacedRow } from './stone-set.ts';
import { distance } from './vec.ts';

/** What is left round a row's stones, and what one stone fewer or more would change. */
export function fitReport({ origin: { placed: row, holding, cutter } }: Pick<WholeRow, 'origin'>): RowFit {
  const { grain, flush = [], collars = [] } = holding;
  const { design, places, members } = row;
  const count = places.stones.length;
  const all = members.map(({ place }) => place);
  const rims = [
    ...(grain ? [grain.rail] : []),
    ...flush.map(({ wall }) => wall),
    ...collars.map(({ beside }) => beside),
  ];
  return {
    row: design.name,
    count,
    pitchMm: pitchOf(row),
    gapMm: Number.isFinite(places.gapMm) ? places.gapMm : null,
    leastGapMm: design.leastGapMm,
    wallMm: Math.min(...all.map(({ wall, rim: atSurface }) => Math.min(wall, atSurface)), ...rims),
    underCuletMm: Math.min(...all.map(({ culetAbove }) => culetAbove)),
    fewer: neighbourStep(row, count, -1, cutter),
    more: neighbourStep(row, count, 1, cutter),
  };
}

/** Centre to centre where that is one and the same all along. */
function pitchOf({ places: { stones, lines } }: PlacedRow): number | null {
  const [line] = lines;
  const chords = line.slice(1).map((k, i) => distance(stones[k].frame.origin, stones[line[i]].frame.origin));
  if (chords.length === 0 || Math.max(...chords) - Math.min(...chords) > 1e-6) return null;
  return chords[0];
}

/** The next count that the row can have, with the gap that it would leave; null where counts are not the row's to choose. */
function neighbourStep(row: PlacedRow, from: number, way: 1 | -1, cutter: StoneCutter): FitStep | null {
  const { design, lane, places } = row;
  const { coverage } = design;
  if (coverage.kind === 'angles') return null;
  const closed = coverage.kind === 'full';
  if (design.stagger) return staggeredStep(row, from, way, cutter);
  let count = from + way;
  while (count > 0 && isUneven(design) && !isCountOf(design, count, closed)) count += way;
  if (count < (closed ? 3 : 1)) return null;
  const stones = stoneOrder(design, count, closed).map(cutter);
  if (count === 1) return step(count, null, true, phrase('single-stone'));
  const gap = fillingGap({ ...lineOf(design, lane), coverage }, stones);
  return stepOf(count, gap, design.leastGapMm, places.gapMm, closed ? '' : '-spread');
}

/** All lines change by one stone each. */
function staggeredStep(row: PlacedRow, from: number, way: 1 | -1, cutter: StoneCutter): FitStep | null {
  const { design, lane, places } = row;
  const { coverage } = design;
  if (coverage.kind === 'angles') return null;
  if (!places.closed) {
    const first = places.lines[0].length + way;
    if (first < 1) return null;
    const lines = places.lines.length;
    const count = lines * first - Math.floor(lines / 2);
    if (count === 1) return step(count, null, true, phrase('single-stone'));
    const gap = openStaggerGap(design, coverage, lane, cutter, first);
    return stepOf(count, gap, design.leastGapMm, places.gapMm, '-spread');
  }
  const line = from / places.lines.length + way;
  if (line < 3) return null;
  const loose = { ...design, count: line, leastGapMm: 0 };
  const found = placeStones(loose, lane, cutter, '');
  const gap = isRefused(found) ? undefined : found.gapMm;
  return stepOf(places.lines.length * line, gap, design.leastGapMm, places.gapMm, '');
}

function stepOf(
  count: number,
  gap: number | undefined,
  least: number,
  now: number,
  part: '' | '-spread',
): FitStep {
  if (gap === undefined) return step(count, null, false, phrase('stones-overlap'));
  const fits = gap >= least - 1e-9;
  const change = gap - now;
  const why = fits
    ? phrase(`gaps-${change < 0 ? 'close' : 'open'}${part}`, { by: { mm: Math.abs(change) } })
    : gap < 0
      ? phrase('girdles-overlap', { by: { mm: -gap } })
      : phrase('short-of-gap', { by: { mm: least - gap }, gap: { mm: least } });
  return step(count, gap, fits, why);
}

function step(count: number, gapMm: number | null, fits: boolean, told: Words): FitStep {
  return { count, gapMm, fits, why: inEnglish(told), told };
}
