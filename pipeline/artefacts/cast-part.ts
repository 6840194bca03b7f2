/** A part for the caster, from a band's design; also of bands that are no plan's, such as those of orders. */
import type { BuiltShape } from '../band/built-shape.ts';
import { withPolishAllowance } from '../band/polish-allowance.ts';
import type { CasterFacts } from '../facts/catalogue-schema.ts';
import { alloyRow } from '../facts/looks.ts';
import type { SolidFacts } from '../facts/solid-facts.ts';
import { type CastPart, castPart } from '../model/cast-part.ts';
import type { ShapeDesign } from '../plan/design.ts';
import type { CasterPlan } from '../plan/plan.ts';
import { buildShape } from '../setting/build-shape.ts';
import { gramsOf } from '../trade/mass.ts';

/**
 * @param shape as finished; it is built anew where metal is left on for polishing
 * @throws ProblemError if the band cannot be built with the allowance
 */
export async function buildPart(
  design: ShapeDesign,
  shape: BuiltShape,
  part: { alloy: string; lanes: readonly number[] },
  caster: CasterPlan,
): Promise<CastPart> {
  const counts = shape.fits.map(({ count }) => count);
  const cast =
    caster.polishMm > 0 ? await buildShape(withPolishAllowance(design, caster.polishMm, counts)) : shape;
  const lanes = part.lanes.map((lane) => shape.lanes[lane].name).join(', ');
  const title = `${part.alloy}, ${lanes}, bore ${shape.innerDiameterMm.toFixed(2)} mm`;
  return castPart(cast, part.lanes, title, { ...caster, uncastable: alloyRow(part.alloy).uncastable });
}

/** What the caster is told of one alloy's part. */
export function partFacts(
  alloy: string,
  lanes: readonly number[],
  solid: SolidFacts,
  { pieces, volumeMm3 }: Pick<CastPart, 'pieces' | 'volumeMm3'>,
  { sprue }: CasterPlan,
  files: CasterFacts['parts'][number]['files'],
): CasterFacts['parts'][number] {
  const { density } = alloyRow(alloy);
  const finished = lanes.reduce((sum, lane) => sum + solid.lanes[lane].volumeMm3, 0);
  return {
    alloy,
    lanes: lanes.map((lane) => solid.lanes[lane].name),
    pieces,
    finishedMassG: gramsOf(finished, density),
    castVolumeMm3: volumeMm3,
    castMassG: gramsOf(volumeMm3, density) * (1 + sprue),
    files,
  };
}
