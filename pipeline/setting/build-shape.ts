import { soundLanes } from '../band/build-lanes.ts';
import type { BenchCheck, BuiltShape } from '../band/built-shape.ts';
import type { ShapeDesign } from '../plan/design.ts';
import type { LimitSettings } from '../trade/bench-limits.ts';
import { benchChecks } from './bench-rules.ts';
import { buildSolids, planCuts } from './build-solids.ts';
import { fitReport } from './row-fit.ts';
import type { SolidKernel } from './solid-kernel.ts';

/**
 * Builds a shape: its solids (`buildSolids`), how its rows fit, and what the bench says of it.
 * @param limits of the config, for the checks; they change no solid
 * @throws ProblemError as `buildSolids` does
 */
export async function buildShape(
  design: ShapeDesign,
  kernel?: SolidKernel,
  limits?: LimitSettings,
): Promise<BuiltShape> {
  const { solids, cuts } = await buildSolids(design, kernel);
  return { ...solids, fits: cuts.rows.map(fitReport), checks: benchChecks({ design, ...cuts, limits }) };
}

/**
 * What the bench says of a shape, without cutting it: all that keeps it from being built is known before.
 * @throws ProblemError as `buildSolids` does
 */
export async function checkShape(
  design: ShapeDesign,
  kernel?: SolidKernel,
  limits?: LimitSettings,
): Promise<BenchCheck[]> {
  const cuts = await planCuts(design, soundLanes(design), kernel);
  return benchChecks({ design, ...cuts, limits });
}
