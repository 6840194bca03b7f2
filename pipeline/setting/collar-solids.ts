import type { Manifold } from 'manifold-3d';
import type { WeldedMesh } from '../band/welded-mesh.ts';
import { type Collar, collarOutside, RIM_BELOW_MM } from './collar.ts';
import type { SeatedStone } from './place.ts';
import { type ProfilePoint, revolve, roundSegments, straightRun } from './revolution.ts';
import { facetedCutter, type Seat } from './seat.ts';
import type { NativeSolids } from './solid-kernel.ts';
import type { Frame } from './stone.ts';
import type { Vec } from './vec.ts';

/** A set's collars as meshes, whole all round. */
export function collarMesh(collar: Collar, frame: Frame, foot: number, chordMm: number): WeldedMesh {
  const { radius, lip, rim } = collar;
  const segments = roundSegments(radius, chordMm, 32);
  const base = collarOutside(collar, foot);
  const runs = [straightRun(0, foot, base, foot)];
  if (!lip) {
    const top = collarOutside(collar, rim);
    runs.push(straightRun(base, foot, top, rim), straightRun(top, rim, 0, rim));
  } else {
    runs.push(straightRun(base, foot, radius, 0), shoulder(radius, lip, chordMm));
    runs.push(straightRun(lip.topRadius, lip.topHeight, 0, lip.topHeight));
  }
  return revolve(frame, runs, segments);
}

/** A quarter of an ellipse from the upright wall in over the girdle to the level top of the lip. */
function shoulder(
  radius: number,
  { topRadius, topHeight }: NonNullable<Collar['lip']>,
  chordMm: number,
): ProfilePoint[] {
  const [a, b] = [radius - topRadius, topHeight];
  const steps = Math.max(6, Math.ceil(Math.PI / 4 / Math.acos(Math.max(0, 1 - chordMm / Math.max(a, b)))));
  return Array.from({ length: steps + 1 }, (_, i): ProfilePoint => {
    const turn = (i / steps) * (Math.PI / 2);
    const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
    const size = Math.hypot(b * cos, a * sin);
    const last = i === steps;
    return {
      rho: last ? topRadius : topRadius + a * cos,
      h: last ? topHeight : b * sin,
      nRho: (b * cos) / size,
      nH: (a * sin) / size,
    };
  });
}

/** What is taken out of the collars of a half bezel: from below the girdle up, right through on two sides. */
export function openingMesh({ open, radius, lip }: Collar, frame: Frame, seat: Seat): WeldedMesh | undefined {
  if (!open || !lip) return undefined;
  const side: Vec = open.way === 'along' ? [0, 1, 0] : [1, 0, 0];
  const planes = [
    { n: side, d: open.half },
    { n: [-side[0], -side[1], 0] as Vec, d: open.half },
    { n: [-side[1], side[0], 0] as Vec, d: 2 * radius },
    { n: [side[1], -side[0], 0] as Vec, d: 2 * radius },
    { n: [0, 0, 1] as Vec, d: lip.topHeight + radius },
    { n: [0, 0, -1] as Vec, d: RIM_BELOW_MM - seat.bearingTop },
  ];
  return facetedCutter(frame, planes, 8 * radius);
}

/** The collars of a set as solids, to be joined to their lane before seats are cut. */
export function collarSolids(
  solids: NativeSolids,
  { collar, seat, places }: { collar: Collar; seat: Seat; places: SeatedStone[] },
  chordMm: number,
): Manifold[] {
  const whole = solids.fromMeshes(
    places.map(({ frame }, i) => collarMesh(collar, frame, collar.feet[i], chordMm)),
  );
  const openings = places.flatMap(({ frame }) => openingMesh(collar, frame, seat) ?? []);
  if (openings.length === 0) return whole;
  const cutters = solids.fromMeshes(openings);
  return whole.map((solid) => solids.subtract(solid, cutters));
}
