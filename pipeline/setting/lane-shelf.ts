import { createHash } from 'node:crypto';
import type { BuiltLane } from '../band/build-lanes.ts';
import type { LaneSolid } from '../band/built-shape.ts';
import type { ShapeDesign } from '../plan/design.ts';

/** Lanes that were cut before: while a design is shaped, most edits leave most lanes as they are. */
export interface LaneShelf {
  get(key: string): LaneSolid | undefined;
  put(key: string, lane: LaneSolid): void;
}

/**
 * Stands for all that decides a cut lane: its swept mesh, which holds what seams, section and size make of it, its
 * facets, the rows that stand on it, the band's gaps, and every mark of the design, since letters in the bore go through several lanes.
 */
export function laneKey(design: ShapeDesign, { lane, mesh }: BuiltLane): string {
  const { rows, edgeMilgrain, seams, engraving, gaps, widthMm, chordToleranceMm } = design;
  const said = JSON.stringify([
    lane.name,
    lane.facets ?? null,
    rows.filter((row) => row.lane === lane.name),
    seams.filter((seam) => seam.marks),
    edgeMilgrain ?? null,
    engraving ?? null,
    gaps ?? null,
    widthMm,
    chordToleranceMm,
  ]);
  const hash = createHash('sha256').update(said);
  for (const array of [mesh.positions, mesh.normals, mesh.indices])
    hash.update(new Uint8Array(array.buffer, array.byteOffset, array.byteLength));
  return hash.digest('hex');
}
