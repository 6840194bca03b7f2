import type { WeldedMesh } from '../band/welded-mesh.ts';
import type { Frame } from './stone.ts';

/** A point of a profile (ρ from the axis, h along it) with the outward normal there. */
export interface ProfilePoint {
  rho: number;
  h: number;
  nRho: number;
  nH: number;
  /** points of its ring, where they are not as many as the solid's segments */
  ring?: number;
}

/** Smooth runs of a profile from the axis below to the axis above; each run starts where the last one ended. */
export type TurnedProfile = ProfilePoint[][];

/** A straight run: the mantle of a cylinder or cone, or a flat disc. */
export function straightRun(rho0: number, h0: number, rho1: number, h1: number): ProfilePoint[] {
  const size = Math.hypot(rho1 - rho0, h1 - h0);
  const nRho = (h1 - h0) / size;
  const nH = (rho0 - rho1) / size;
  return [
    { rho: rho0, h: h0, nRho, nH },
    { rho: rho1, h: h1, nRho, nH },
  ];
}

/** Segments of a circle so that neither its chord tolerance nor the eye is offended. */
export function roundSegments(radius: number, chordToleranceMm: number, least: number): number {
  const step = 2 * Math.acos(Math.max(0, 1 - chordToleranceMm / radius));
  return Math.max(least, 4 * Math.ceil((2 * Math.PI) / step / 4));
}

/** Vertices of one ring; a level pole has one for all, the point of a cone one for every side. */
interface Ring {
  first: number;
  /** vertices, or sides of the fan about a pole */
  count: number;
  kind: 'ring' | 'pole' | 'point';
}

/**
 * Closed solid of revolution about a frame's axis with smooth normals within runs and creases between them.
 * A run may start or end on the axis, where it closes in a fan; where runs meet, their rings have as many points.
 * Plain numbers in plain arrays: a shape has hundreds of these.
 */
export function revolve(frame: Frame, profile: TurnedProfile, segments: number): WeldedMesh {
  const runs = ringsOf(profile, segments);
  const last = runs[runs.length - 1].at(-1)!;
  const vertices = last.first + (last.kind === 'pole' ? 1 : last.count);
  const mesh = {
    positions: new Float32Array(3 * vertices),
    normals: new Float32Array(3 * vertices),
  };
  const indices: number[] = [];
  const mergeFrom: number[] = [];
  const mergeTo: number[] = [];
  runs.forEach((rings, r) => {
    rings.forEach((ring, i) => {
      placeRing(mesh, frame, profile[r][i], ring);
      if (ring.kind === 'point') pair(mergeFrom, mergeTo, ring.first + 1, ring.first, ring.count - 1, 0);
      if (i > 0) joinRings(indices, rings[i - 1], ring);
    });
    if (r > 0) pair(mergeFrom, mergeTo, rings[0].first, runs[r - 1].at(-1)!.first, rings[0].count, 1);
  });
  return {
    ...mesh,
    indices: Uint32Array.from(indices),
    mergeFrom: Uint32Array.from(mergeFrom),
    mergeTo: Uint32Array.from(mergeTo),
  };
}

function ringsOf(profile: TurnedProfile, segments: number): Ring[][] {
  let first = 0;
  return profile.map((run) =>
    run.map((p, i): Ring => {
      const onAxis = p.rho === 0;
      const kind = !onAxis ? 'ring' : Math.abs(p.nRho) < 1e-9 ? 'pole' : 'point';
      const beside = onAxis ? run[i === 0 ? 1 : i - 1] : p;
      const ring = { first, count: beside.ring ?? segments, kind } as const;
      first += kind === 'pole' ? 1 : ring.count;
      return ring;
    }),
  );
}

function placeRing(
  { positions, normals }: Pick<WeldedMesh, 'positions' | 'normals'>,
  { origin, x, y, axis }: Frame,
  { rho, h, nRho, nH }: ProfilePoint,
  { first, count, kind }: Ring,
): void {
  const vertices = kind === 'pole' ? 1 : count;
  const start = kind === 'point' ? 0.5 : 0;
  for (let i = 0; i < vertices; i++) {
    const turn = (2 * Math.PI * (i + start)) / count;
    const cos = Math.cos(turn);
    const sin = Math.sin(turn);
    const at = 3 * (first + i);
    for (let k = 0; k < 3; k++) {
      const out = x[k] * cos + y[k] * sin;
      positions[at + k] = origin[k] + rho * out + h * axis[k];
      normals[at + k] = nRho * out + nH * axis[k];
    }
  }
}

function pair(from: number[], to: number[], a: number, b: number, count: number, step: 0 | 1): void {
  for (let i = 0; i < count; i++) {
    from.push(a + i);
    to.push(b + step * i);
  }
}

/** Two rings of one run, either of which may be a fan's centre. Between rings of unlike counts the shorter diagonal is taken. */
function joinRings(indices: number[], below: Ring, above: Ring): void {
  const at = ({ first, count, kind }: Ring, i: number) => (kind === 'pole' ? first : first + (i % count));
  if (below.kind !== 'ring') {
    for (let i = 0; i < above.count; i++) indices.push(at(below, i), at(above, i + 1), at(above, i));
    return;
  }
  if (above.kind !== 'ring') {
    for (let i = 0; i < below.count; i++) indices.push(at(below, i), at(below, i + 1), at(above, i));
    return;
  }
  let i = 0;
  let j = 0;
  while (i < below.count || j < above.count) {
    const rising = Math.abs((j + 1) / above.count - i / below.count);
    const falling = Math.abs((i + 1) / below.count - j / above.count);
    if (i === below.count || (j < above.count && rising <= falling + 1e-12)) {
      indices.push(at(below, i), at(above, j + 1), at(above, j++));
    } else indices.push(at(below, i), at(below, ++i), at(above, j));
  }
}
