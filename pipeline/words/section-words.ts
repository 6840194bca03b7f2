import type { SectionDesign } from '../plan/design.ts';
import { type Locale, localeOf } from './locale.ts';

/** What a section measures, as the bench reads it; the first edge before the second. */
export function sectionWords(section: SectionDesign, locale: Locale = localeOf('en')): string[] {
  const { domeMm, farDomeMm = domeMm, comfortMm, edgeMm, farEdgeMm = edgeMm, boreEdgeMm } = section;
  const { bevel, ridge, step } = section;
  const say = locale.messages.bench.sectionWords;
  const mm = (value: number) => locale.number(value, 2);
  const degrees = (angle: number) => `${locale.number((angle * 180) / Math.PI, 1)}°`;
  /** two values, or one where both sides are alike */
  const sides = (low: string, high: string) => (low === high ? low : say.both(low, high));
  return [
    ...(bevel || ridge ? [] : [say.dome(sides(mm(domeMm), mm(farDomeMm)))]),
    ...(bevel
      ? [
          say.chamfers(
            sides(
              say.chamfer(mm(bevel.lowMm), degrees(bevel.lowRad)),
              say.chamfer(mm(bevel.highMm), degrees(bevel.highRad)),
            ),
            mm(bevel.roundMm),
          ),
        ]
      : []),
    ...(ridge ? [say.ridge(sides(degrees(ridge.lowRad), degrees(ridge.highRad)), mm(ridge.roundMm))] : []),
    ...(step ? [say.step(mm(step.widthMm), mm(step.depthMm), mm(step.softenMm), step.sides)] : []),
    say.comfort(mm(comfortMm)),
    say.edges(sides(mm(edgeMm), mm(farEdgeMm))),
    say.boreEdges(mm(boreEdgeMm)),
  ];
}
