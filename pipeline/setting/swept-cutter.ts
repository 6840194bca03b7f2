import type { WeldedMesh } from '../band/welded-mesh.ts';
import { type Frame, toBand, turnToBand } from './stone.ts';
import type { Vec } from './vec.ts';

/** A polygon in a frame's (y, axis) plane, counter-clockwise seen against x, and convex quads of its corners that fill it. */
export interface Outline {
  corners: readonly (readonly [y: number, h: number])[];
  fill: readonly (readonly [number, number, number, number])[];
}

/**
 * Sweeps an outline through frames that follow each other along their x: a closed ring, or a bar with flat ends.
 * Every side of the outline is flat-shaded across and smooth along; creases are doubled and paired.
 */
export function sweepOutline(frames: Frame[], { corners, fill }: Outline, closed: boolean): WeldedMesh {
  const positions: number[] = [];
  const normals: number[] = [];
  const indices: number[] = [];
  const mergeFrom: number[] = [];
  const mergeTo: number[] = [];
  const n = corners.length;
  const vertex = (frame: Frame, corner: number, normal: Vec): number => {
    const [y, h] = corners[corner];
    positions.push(...toBand(frame, [0, y, h]));
    normals.push(...turnToBand(frame, normal));
    return positions.length / 3 - 1;
  };
  // side j runs from corner j to j + 1 and owns vertices 2j and 2j + 1 of a section
  for (const frame of frames) {
    const base = positions.length / 3;
    for (let j = 0; j < n; j++) {
      const k = (j + 1) % n;
      const [ty, th] = [corners[k][0] - corners[j][0], corners[k][1] - corners[j][1]];
      const size = Math.hypot(ty, th);
      const normal: Vec = [0, th / size, -ty / size];
      vertex(frame, j, normal);
      vertex(frame, k, normal);
      mergeFrom.push(base + 2 * k);
      mergeTo.push(base + 2 * j + 1);
    }
  }
  const sections = frames.length;
  for (let i = 0; i < (closed ? sections : sections - 1); i++) {
    const here = 2 * n * i;
    const next = 2 * n * ((i + 1) % sections);
    for (let j = 0; j < 2 * n; j += 2) {
      indices.push(here + j, here + j + 1, next + j + 1, here + j, next + j + 1, next + j);
    }
  }
  const cap = (section: number, way: 1 | -1) => {
    const at = corners.map((_, j) => {
      const v = vertex(frames[section], j, [way, 0, 0]);
      mergeFrom.push(v);
      mergeTo.push(2 * n * section + 2 * ((j + n - 1) % n) + 1);
      return v;
    });
    for (const [a, b, c, d] of fill) {
      if (way === 1) indices.push(at[a], at[b], at[c], at[a], at[c], at[d]);
      else indices.push(at[a], at[c], at[b], at[a], at[d], at[c]);
    }
  };
  if (!closed) {
    cap(0, -1);
    cap(sections - 1, 1);
  }
  return {
    positions: Float32Array.from(positions),
    normals: Float32Array.from(normals),
    indices: Uint32Array.from(indices),
    mergeFrom: Uint32Array.from(mergeFrom),
    mergeTo: Uint32Array.from(mergeTo),
  };
}
