import { buildLanes } from '../band/build-lanes.ts';
import type { LaneSolid, TriMesh } from '../band/built-shape.ts';
import type { ShapeDesign } from '../plan/design.ts';
import { needsCutting, plainLane, planCuts, type Solids, wholeShape } from './build-solids.ts';
import { clawMesh } from './claw-form.ts';
import { type LaneShelf, laneKey } from './lane-shelf.ts';
import type { WholeRow } from './row-plan.ts';

/**
 * A shape to look at while its true solids are being cut: lanes that were cut before as they are, all others as they
 * are swept, without seats, grooves and letters, and with claws and grains that only stand in them. Stones are in their places.
 * @returns `whole` if nothing is missing: these are the solids that `buildSolids` makes
 * @throws ProblemError as `buildSolids` does, but for what only cutting finds
 */
export async function draftSolids(
  design: ShapeDesign,
  shelf: LaneShelf,
): Promise<{ solids: Solids; whole: boolean }> {
  const built = buildLanes(design);
  const cuts = await planCuts(
    design,
    built.map(({ lane }) => lane),
    undefined,
  );
  let whole = true;
  const lanes = built.map((each): LaneSolid => {
    const plain = plainLane(each);
    if (!needsCutting(cuts)) return plain;
    const cut = shelf.get(laneKey(design, each));
    if (cut) return cut;
    const rows = cuts.rows.filter(({ lane }) => lane.index === each.lane.index);
    whole &&= rows.length === 0 && !each.lane.facets && !cuts.marks;
    return { ...plain, mesh: joined([plain.mesh, ...pins(rows, design.chordToleranceMm)]) };
  });
  return { solids: wholeShape(design, lanes, cuts), whole };
}

function pins(rows: readonly WholeRow[], chordMm: number): TriMesh[] {
  return rows.flatMap(({ claws, grain }) =>
    [...claws, ...(grain?.grains ?? [])].map((pin) => clawMesh(pin, chordMm)),
  );
}

/** Meshes in one, each closed by itself. */
function joined(meshes: readonly TriMesh[]): TriMesh {
  if (meshes.length === 1) return meshes[0];
  const sum = (of: (mesh: TriMesh) => number) => meshes.reduce((total, mesh) => total + of(mesh), 0);
  const positions = new Float32Array(sum((m) => m.positions.length));
  const normals = new Float32Array(positions.length);
  const indices = new Uint32Array(sum((m) => m.indices.length));
  let vertex = 0;
  let corner = 0;
  for (const mesh of meshes) {
    positions.set(mesh.positions, 3 * vertex);
    normals.set(mesh.normals, 3 * vertex);
    for (const index of mesh.indices) indices[corner++] = index + vertex;
    vertex += mesh.positions.length / 3;
  }
  return { positions, normals, indices };
}
