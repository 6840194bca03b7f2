import type { WeldedMesh } from '../band/welded-mesh.ts';
import { type Frame, toBand, turnToBand } from './stone.ts';
import { cross, sub, unit, type Vec } from './vec.ts';

/** A polygon in a frame's (y, axis) plane, counter-clockwise seen against x. */
export type Corners = readonly (readonly [y: number, h: number])[];
/** Convex quads of a polygon's corners that fill it. */
export type Fill = readonly (readonly [number, number, number, number])[];

/**
 * Sweeps an outline through frames that follow each other along their x: a closed ring, or a bar with flat ends.
 * The outline may change from frame to frame as long as its corners stay as many. Every side of it is flat-shaded
 * across and smooth along; creases are doubled and paired.
 */
export function sweepOutline(
  frames: Frame[],
  outlineAt: (section: number) => Corners,
  fill: Fill,
  closed: boolean,
): WeldedMesh {
  const positions: number[] = [];
  const normals: number[] = [];
  const indices: number[] = [];
  const mergeFrom: number[] = [];
  const mergeTo: number[] = [];
  const outlines = frames.map((_, i) => outlineAt(i));
  const n = outlines[0].length;
  const points = frames.map((frame, i) => outlines[i].map(([y, h]) => toBand(frame, [0, y, h])));
  const vertex = (section: number, corner: number, normal: Vec): number => {
    positions.push(...points[section][corner]);
    normals.push(...normal);
    return positions.length / 3 - 1;
  };
  /** From the section before to the one after, along a corner. */
  const onward = (section: number, corner: number): Vec => {
    const at = (i: number) =>
      closed ? (i + frames.length) % frames.length : Math.min(frames.length - 1, Math.max(0, i));
    return sub(points[at(section + 1)][corner], points[at(section - 1)][corner]);
  };
  // side j runs from corner j to j + 1 and owns vertices 2j and 2j + 1 of a section
  frames.forEach((_, section) => {
    const base = positions.length / 3;
    for (let j = 0; j < n; j++) {
      const k = (j + 1) % n;
      const side = sub(points[section][k], points[section][j]);
      vertex(section, j, unit(cross(side, onward(section, j))));
      vertex(section, k, unit(cross(side, onward(section, k))));
      mergeFrom.push(base + 2 * k);
      mergeTo.push(base + 2 * j + 1);
    }
  });
  const sections = frames.length;
  for (let i = 0; i < (closed ? sections : sections - 1); i++) {
    const here = 2 * n * i;
    const next = 2 * n * ((i + 1) % sections);
    for (let j = 0; j < 2 * n; j += 2) {
      indices.push(here + j, here + j + 1, next + j + 1, here + j, next + j + 1, next + j);
    }
  }
  const cap = (section: number, way: 1 | -1) => {
    const normal = turnToBand(frames[section], [way, 0, 0]);
    const at = outlines[section].map((_, j) => {
      const v = vertex(section, j, normal);
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
