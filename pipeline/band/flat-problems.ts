import type { ShapeDesign } from '../plan/design.ts';
import type { Problem } from '../problem.ts';
import { leastHalf } from './flat-top.ts';
import { flatOutside } from './outline.ts';
import { mm, problem } from './problem-words.ts';

/** What keeps a flat from lying on top of its band. */
export function flatProblems(design: ShapeDesign): Problem[] {
  const { flat, circumferenceMm, thicknessMm } = design;
  if (!flat) return [];
  const top = flatOutside(design)?.top;
  if (!top) {
    const outsideMm = circumferenceMm / (2 * Math.PI) + thicknessMm;
    const least = 2 * leastHalf(outsideMm, outsideMm + flat.riseMm);
    const expected = `a flat longer than ${mm(least)}, which the band's own outside comes to ${mm(-flat.riseMm)} below its top`;
    return [
      problem('flat-too-short', 'flat.length', expected, mm(flat.lengthMm), 'Make it longer or raise it.'),
    ];
  }
  const room = Math.min(flat.lengthMm / 2, top.shoulderMm);
  if (top.reachMm < room) return [];
  const expected = `ends rounded by less than ${mm((flat.edgeMm * room) / top.reachMm)}, so that some of flat and shoulders is left`;
  return [
    problem(
      'flat-edge',
      'flat.edge',
      expected,
      mm(flat.edgeMm),
      'Round it less, or make it longer or higher.',
    ),
  ];
}
