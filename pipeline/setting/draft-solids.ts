import { buildLanes, soundLanes } from '../band/build-lanes.ts';
import type { LaneSolid, TriMesh } from '../band/built-shape.ts';
import type { ShapeDesign } from '../plan/design.ts';
import { needsCutting, plainLane, planCuts, type Solids, wholeShape } from './build-solids.ts';
import { clawMesh } from './claw-form.ts';
import { collarMesh } from './collar-solids.ts';
import type { WholeRow } from './row-plan.ts';

/** mm: what a chord may take off a draft; a pixel of a picture of 480 shows 0.05 mm. */
const DRAFT_CHORD = 0.03;

/**
 * A shape to look at while its true solids are being cut: lanes as they are swept, in longer chords, without seats, grooves
 * and letters, and with claws, grains and collars that only stand in them. Stones are in their places.
 * @returns `whole` if nothing is missing: these are the solids that `buildSolids` makes
 * @throws ProblemError as `buildSolids` does, but for what only cutting finds
 */
export async function draftSolids(design: ShapeDesign): Promise<{ solids: Solids; whole: boolean }> {
  const sound = soundLanes(design);
  const cuts = await planCuts(design, sound, undefined);
  if (!needsCutting(cuts))
    return { solids: wholeShape(design, buildLanes(design, sound).map(plainLane), cuts), whole: true };
  const chordToleranceMm = Math.max(design.chordToleranceMm, DRAFT_CHORD);
  const lanes = buildLanes({ ...design, chordToleranceMm }, sound).map((built): LaneSolid => {
    const rows = cuts.rows.filter(({ lane }) => lane.index === built.lane.index);
    const plain = plainLane(built);
    return { ...plain, mesh: joined([plain.mesh, ...pins(rows, chordToleranceMm)]) };
  });
  return { solids: wholeShape(design, lanes, cuts), whole: false };
}

function pins(rows: readonly WholeRow[], chordMm: number): TriMesh[] {
  return rows.flatMap(({ claws, grain, sets }) => [
    ...[...claws, ...(grain?.grains ?? [])].map((pin) => clawMesh(pin, chordMm)),
    ...sets.flatMap(({ collar, places }) =>
      places.flatMap(({ frame }, i) =>
        collar ? collarMesh({ ...collar, open: undefined }, frame, collar.feet[i], chordMm) : [],
      ),
    ),
  ]);
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
