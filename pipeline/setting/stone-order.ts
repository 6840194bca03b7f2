import { graduation, type RowDesign, type StoneSort, sortsOf } from '../plan/design.ts';
import { CUTS } from '../trade/cuts.ts';
import { between } from './between.ts';

/** The size and sort of one stone of a row. */
export interface OrderedStone extends StoneSort {
  /** index into `sortsOf` of the row */
  sort: number;
}

/** Whether a row's stones differ. */
export function isUneven({ alternate, centre, graduate }: RowDesign): boolean {
  return alternate !== undefined || centre !== undefined || graduate !== undefined;
}

/**
 * Stones of an uneven row by their places, from the first to the last of an open row, round from the top of a closed
 * one. Sizes fall by the place's distance from the middle, or from the first stone of a row that goes one way; sorts take turns from the first stone on or, round a centre
 * stone, outwards from it alike on both sides.
 */
export function stoneOrder(row: RowDesign, count: number, closed: boolean): OrderedStone[] {
  const sorts = sortsOf(row);
  const turns = 1 + (row.alternate?.length ?? 0);
  const half = closed ? count / 2 : (count - 1) / 2;
  return Array.from({ length: count }, (_, i) => {
    const away = closed ? Math.min(i, count - i) : Math.abs(i - half);
    if (row.centre && away === 0) return { ...row.centre, sort: turns };
    const turn = (row.centre ? away - 1 : i) % turns;
    const share = row.graduate?.oneWay ? i / Math.max(1, count - 1) : half > 0 ? away / half : 0;
    return { ...graduated(sorts[turn], row, share), sort: turn };
  });
}

/** Counts of stones that an uneven row can have: odd about a centre, whole turns round the band. */
export function isCountOf(row: RowDesign, count: number, closed: boolean): boolean {
  if (closed)
    return count >= 3 && (row.centre !== undefined || count % (1 + (row.alternate?.length ?? 0)) === 0);
  return count >= 1 && (row.centre === undefined || count % 2 === 1);
}

/** The sort at a share (0 to 1) of the way to the end, its diameter a whole step or a stocked one. */
function graduated(sort: StoneSort, row: RowDesign, share: number): StoneSort {
  const { graduate, stockedMm, diameterMm } = row;
  if (!graduate) return sort;
  const { stepMm } = graduate;
  const sizes = graduation(row);
  const table = sizes.map((size, i): [number, number] => [i / (sizes.length - 1), size]);
  const wanted = (sort.diameterMm * between(table, share)) / diameterMm;
  const stepped = stockedMm ? nearestOf(stockedMm, wanted) : Math.round(wanted / stepMm) * stepMm;
  const diameter = Number(stepped.toFixed(4));
  const { round } = CUTS.get(sort.cut)!;
  const lengthMm = round
    ? {}
    : { lengthMm: ((sort.lengthMm ?? sort.diameterMm) * diameter) / sort.diameterMm };
  return { ...sort, diameterMm: diameter, ...lengthMm };
}

/** The stocked diameter that comes nearest; of two alike the smaller. */
export function nearestOf(stockedMm: readonly number[], diameterMm: number): number {
  return stockedMm.reduce((a, b) => (Math.abs(b - diameterMm) < Math.abs(a - diameterMm) - 1e-9 ? b : a));
}
