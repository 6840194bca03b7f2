import { expect } from 'vitest';
import type { BuiltShape } from '../../pipeline/band/built-shape.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import type { SolidKernel } from '../../pipeline/setting/solid-kernel.ts';

/** How designs of a property test came out. */
export interface Outcomes {
  built: number;
  refused: number;
}

/** Counts a design as built, where what is built must hold, or as refused, in words that tell real measures. */
export async function builtOrRefused(
  design: ShapeDesign,
  kernel: SolidKernel,
  tally: Outcomes,
  holds: (shape: BuiltShape) => void,
): Promise<void> {
  try {
    const shape = await buildShape(design, kernel);
    tally.built++;
    holds(shape);
  } catch (error) {
    if (!(error instanceof ProblemError)) throw error;
    tally.refused++;
    for (const { expected, received } of error.problems)
      expect(`${expected}${received}`).not.toMatch(/NaN|undefined|Infinity/);
  }
}
