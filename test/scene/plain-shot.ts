import type { ShotPlan } from '../../pipeline/plan/plan.ts';

/** A three-quarter shot on white ground without lights; tests change what they need. */
export function plainShot(parts: Partial<ShotPlan>): ShotPlan {
  return {
    name: 'x',
    view: 'three-quarter',
    lights: 'none',
    studio: { panels: [], dome: [1, 1], groundRadiance: 1 },
    ground: { kind: 'white' },
    widthPx: 400,
    heightPx: 400,
    ...parts,
  };
}
