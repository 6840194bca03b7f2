import type { WeldedMesh } from '../band/welded-mesh.ts';
import { type Frame, toBand, turnToBand } from './stone.ts';

/** A point of a profile (ρ from the axis, h along it) with the outward normal there. */
export interface ProfilePoint {
  rho: number;
  h: number;
  nRho: number;
  nH: number;
}

/** Smooth runs of a profile from the axis below to the axis above; each run starts where the last one ended. */
export type Profile = ProfilePoint[][];

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

/** A quarter circle from the equator at height h up to the pole. */
export function domeRun(radius: number, h: number, segments: number): ProfilePoint[] {
  return Array.from({ length: segments + 1 }, (_, i) => {
    const a = (i / segments) * (Math.PI / 2);
    const last = i === segments;
    const nRho = last ? 0 : Math.cos(a);
    return { rho: radius * nRho, h: h + radius * Math.sin(a), nRho, nH: Math.sin(a) };
  });
}

/** Segments of a circle so that neither its chord tolerance nor the eye is offended. */
export function roundSegments(radius: number, chordToleranceMm: number, least: number): number {
  const step = 2 * Math.acos(Math.max(0, 1 - chordToleranceMm / radius));
  return Math.max(least, 4 * Math.ceil((2 * Math.PI) / step / 4));
}

/**
 * Closed solid of revolution about a frame's axis with smooth normals within runs and creases between them.
 * A run may start or end on the axis, where it closes in a fan.
 */
export function revolve(frame: Frame, profile: Profile, segments: number): WeldedMesh {
  const positions: number[] = [];
  const normals: number[] = [];
  const indices: number[] = [];
  const mergeFrom: number[] = [];
  const mergeTo: number[] = [];
  const vertex = (p: ProfilePoint, turn: number): number => {
    const cos = Math.cos((2 * Math.PI * turn) / segments);
    const sin = Math.sin((2 * Math.PI * turn) / segments);
    positions.push(...toBand(frame, [p.rho * cos, p.rho * sin, p.h]));
    normals.push(...turnToBand(frame, [p.nRho * cos, p.nRho * sin, p.nH]));
    return positions.length / 3 - 1;
  };
  const ring = (p: ProfilePoint): number[] => {
    if (p.rho > 0) return Array.from({ length: segments }, (_, i) => vertex(p, i));
    if (Math.abs(p.nRho) < 1e-9) return new Array(segments).fill(vertex(p, 0));
    // the point of a cone has a normal for every side
    const points = Array.from({ length: segments }, (_, i) => vertex(p, i + 0.5));
    mergeFrom.push(...points.slice(1));
    mergeTo.push(...new Array(segments - 1).fill(points[0]));
    return points;
  };
  let before: number[] | undefined;
  for (const run of profile) {
    const rings = run.map(ring);
    if (before) {
      mergeFrom.push(...rings[0]);
      mergeTo.push(...before);
    }
    for (let j = 1; j < rings.length; j++) {
      joinRings(indices, rings[j - 1], rings[j], run[j - 1].rho, run[j].rho);
    }
    before = rings.at(-1);
  }
  return {
    positions: Float32Array.from(positions),
    normals: Float32Array.from(normals),
    indices: Uint32Array.from(indices),
    mergeFrom: Uint32Array.from(mergeFrom),
    mergeTo: Uint32Array.from(mergeTo),
  };
}

/** Two rings of one run; `from` and `to` are their radii, 0 for a fan's centre. */
function joinRings(indices: number[], below: number[], above: number[], from: number, to: number): void {
  const segments = below.length;
  for (let i = 0; i < segments; i++) {
    const k = (i + 1) % segments;
    if (from === 0) indices.push(below[i], above[k], above[i]);
    else if (to === 0) indices.push(below[i], below[k], above[i]);
    else indices.push(below[i], below[k], above[k], below[i], above[k], above[i]);
  }
}
