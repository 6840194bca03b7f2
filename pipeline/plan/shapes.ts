import type { ShapeDesign } from './design.ts';
import type { PlanGrid } from './plan.ts';
import type { ShapeKey } from './variant.ts';

/** A plan's shapes by key, in the order in which its bands first need them. */
export function shapesOf({ shapes }: Pick<PlanGrid, 'shapes'>): [ShapeKey, ShapeDesign][] {
  return Object.entries(shapes) as [ShapeKey, ShapeDesign][];
}
