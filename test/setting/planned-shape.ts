import { buildLanes } from '../../pipeline/band/build-lanes.ts';
import type { BuiltShape } from '../../pipeline/band/built-shape.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import { benchChecks } from '../../pipeline/setting/bench-rules.ts';
import { type Cuts, plainLane, planCuts, wholeShape } from '../../pipeline/setting/build-solids.ts';
import { fitReport } from '../../pipeline/setting/row-fit.ts';
import type { SolidKernel } from '../../pipeline/setting/solid-kernel.ts';

/**
 * What `buildShape` tells of a shape, with its lanes as they are before anything is cut into them: for whoever asks of
 * stones' places, fits, measures and checks, and of no solid.
 */
export async function plannedShape(
  design: ShapeDesign,
  kernel: SolidKernel,
): Promise<BuiltShape & { cuts: Cuts }> {
  const lanes = buildLanes(design);
  const cuts = await planCuts(
    design,
    lanes.map(({ lane }) => lane),
    kernel,
  );
  const shape = wholeShape(design, lanes.map(plainLane), cuts);
  return { ...shape, fits: cuts.rows.map(fitReport), checks: benchChecks({ design, ...cuts }), cuts };
}
