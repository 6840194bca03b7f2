import { mm, problem } from '../band/problem-words.ts';
import { type RowDesign, type StoneSort, sortsOf } from '../plan/design.ts';
import type { Problem } from '../problem.ts';
import { CUTS } from '../trade/cuts.ts';
import { nearestOf } from './stone-order.ts';

/** What is wrong with a row whatever the band. */
export function plainProblems(row: RowDesign, path: string): Problem[] {
  const found: Problem[] = [];
  const alternate = row.alternate?.length ?? 0;
  sortsOf(row).forEach((sort, i) => {
    const own = i === 0 ? path : i <= alternate ? `${path}.alternate[${i - 1}]` : `${path}.centre`;
    if (!(sort.diameterMm > 0)) {
      found.push(
        problem('not-positive', `${own}.diameter`, 'above zero', `${sort.diameterMm}`, 'Give a diameter.'),
      );
    }
    found.push(...cutProblems(sort, own));
  });
  if (row.graduate && !(row.graduate.toMm > 0 && row.graduate.stepMm > 0)) {
    const received = `${row.graduate.toMm} mm in steps of ${row.graduate.stepMm} mm`;
    found.push(problem('not-positive', `${path}.graduate`, 'above zero', received, 'Give both in mm.'));
  }
  found.push(...stockProblems(row, path));
  if (!(row.holeShare >= 0 && row.holeShare <= 0.9)) {
    const advice = 'The stone needs a bearing round the hole.';
    found.push(problem('hole-too-wide', `${path}.hole`, '0 to 0.9', `${row.holeShare}`, advice));
  }
  if (!(row.leastGapMm >= 0)) {
    found.push(
      problem('negative-gap', `${path}.least-gap`, '0 or more', `${row.leastGapMm}`, 'Stones never touch.'),
    );
  }
  if (row.coverage.kind === 'arc' && !(row.coverage.angleRad > 0 && row.coverage.angleRad < 2 * Math.PI)) {
    const received = `${((row.coverage.angleRad * 180) / Math.PI).toFixed(1)}°`;
    found.push(
      problem('arc-too-long', `${path}.coverage`, 'between 0 and 360°', received, 'Use full coverage.'),
    );
  }
  return found;
}

/** Diameters that the workshop does not stock; a centre stone is bought for itself. */
function stockProblems(
  { stockedMm, diameterMm, alternate = [], graduate }: RowDesign,
  path: string,
): Problem[] {
  if (!stockedMm) return [];
  const asked: [string, number][] = [
    [`${path}.diameter`, diameterMm],
    ...alternate.map((sort, i): [string, number] => [`${path}.alternate[${i}].diameter`, sort.diameterMm]),
    ...(graduate?.throughMm ?? []).map((size, i): [string, number] => [
      `${path}.graduate.through[${i}]`,
      size,
    ]),
    ...(graduate ? [[`${path}.graduate.to`, graduate.toMm] satisfies [string, number]] : []),
  ];
  return asked.flatMap(([field, size]) => {
    const nearest = nearestOf(stockedMm, size);
    if (Math.abs(nearest - size) < 1e-6) return [];
    const [least, most] = [stockedMm[0], stockedMm[stockedMm.length - 1]];
    const expected = `a stocked diameter, of which ${mm(nearest)} is the nearest (${mm(least)} to ${mm(most)})`;
    const advice = `Use ${mm(nearest)}, or add this size to "stocked".`;
    return [problem('not-stocked', field, expected, mm(size), advice)];
  });
}

/** Length and diameter that the cut allows. */
function cutProblems({ cut: name, diameterMm, lengthMm }: StoneSort, path: string): Problem[] {
  const cut = CUTS.get(name)!;
  if (cut.round || !(diameterMm > 0)) {
    if (lengthMm === undefined) return [];
    const advice = 'Round cuts have a diameter only.';
    return [problem('length-of-round', `${path}.length`, 'none', mm(lengthMm), advice)];
  }
  const length = lengthMm ?? diameterMm;
  const ratio = Math.max(length / diameterMm, diameterMm / length);
  const { least, most } = cut.ratio;
  if (ratio >= least - 1e-9 && ratio <= most + 1e-9) return [];
  const expected = `${least} to ${most} times as long as wide (${cut.label.toLowerCase()})`;
  const received = `${mm(length)} by ${mm(diameterMm)}`;
  const advice = 'Give length and diameter within these proportions, or another cut.';
  return [problem('cut-proportions', `${path}.length`, expected, received, advice)];
}
