import type { SectionDesign } from '../catalogue/design.ts';

const mm = (value: number) => value.toFixed(2);
const degrees = (angle: number) => `${((angle * 180) / Math.PI).toFixed(1)}°`;

/** Two values, or one where both sides are alike. */
function sides(low: string, high: string): string {
  return low === high ? low : `${low} and ${high}`;
}

/** What a section measures, as the bench reads it; the first edge before the second. */
export function sectionWords(section: SectionDesign): string[] {
  const { domeMm, farDomeMm = domeMm, comfortMm, edgeMm, farEdgeMm = edgeMm, boreEdgeMm } = section;
  const { bevel, ridge, step } = section;
  return [
    ...(bevel || ridge ? [] : [`dome ${sides(mm(domeMm), mm(farDomeMm))}`]),
    ...(bevel
      ? [
          `chamfers ${sides(
            `${mm(bevel.lowMm)} at ${degrees(bevel.lowRad)}`,
            `${mm(bevel.highMm)} at ${degrees(bevel.highRad)}`,
          )}, corners R ${mm(bevel.roundMm)}`,
        ]
      : []),
    ...(ridge
      ? [`flats at ${sides(degrees(ridge.lowRad), degrees(ridge.highRad))}, ridge R ${mm(ridge.roundMm)}`]
      : []),
    ...(step
      ? [
          `step ${mm(step.widthMm)} wide, ${mm(step.depthMm)} deep, R ${mm(step.softenMm)}${
            step.sides === 'both' ? '' : ` at the ${step.sides === 'low' ? 'first' : 'second'} edge`
          }`,
        ]
      : []),
    `comfort ${mm(comfortMm)}`,
    `edges R ${sides(mm(edgeMm), mm(farEdgeMm))}`,
    `bore edges R ${mm(boreEdgeMm)}`,
  ];
}
