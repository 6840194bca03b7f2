import { buildLanes } from '../band/build-lanes.ts';
import type { BuiltShape } from '../band/built-shape.ts';
import { boreRadius } from '../band/lane.ts';
import { meshVolume } from '../band/welded-mesh.ts';
import type { ShapeDesign } from '../catalogue/design.ts';
import { ProblemError } from '../problem.ts';

/**
 * Builds the solids of a shape: one closed manifold per lane.
 * @throws ProblemError with every problem found
 */
export async function buildShape(design: ShapeDesign): Promise<BuiltShape> {
  const lanes = buildLanes(design);
  if (design.rows.length > 0) {
    throw new ProblemError([
      {
        code: 'row-not-built',
        severity: 'error',
        path: 'rows',
        expected: 'no rows',
        received: `${design.rows.length}`,
        advice: 'Rows are not built yet.',
      },
    ]);
  }
  return {
    lanes: lanes.map(({ lane, mesh }) => ({
      name: lane.name,
      mesh: { positions: mesh.positions, normals: mesh.normals, indices: mesh.indices },
      volumeMm3: meshVolume(mesh),
    })),
    rows: [],
    innerDiameterMm: 2 * boreRadius(design),
    circumferenceMm: design.circumferenceMm,
    widthMm: design.widthMm,
    thicknessMm: design.thicknessMm,
    checks: [],
  };
}
