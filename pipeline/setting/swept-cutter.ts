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
  const outlines = frames.map((_, i) => outlineAt(i));
  const n = outlines[0].length;
  const points = frames.map((frame, i) => outlines[i].map(([y, h]) => toBand(frame, [0, y, h])));
  const swept = new Swept();
  sweepSides(swept, points, closed);
  const cap = (section: number, way: 1 | -1) => {
    const normal = turnToBand(frames[section], [way, 0, 0]);
    const at = points[section].map((point, j) => {
      const v = swept.vertex(point, normal);
      swept.pair(v, 2 * n * section + 2 * ((j + n - 1) % n) + 1);
      return v;
    });
    for (const [a, b, c, d] of fill) {
      if (way === 1) swept.indices.push(at[a], at[b], at[c], at[a], at[c], at[d]);
      else swept.indices.push(at[a], at[c], at[b], at[a], at[d], at[c]);
    }
  };
  if (!closed) {
    cap(0, -1);
    cap(frames.length - 1, 1);
  }
  return swept.mesh();
}

/** Side j of a section runs from corner j to j + 1 and owns vertices 2j and 2j + 1 of it. */
function sweepSides(swept: Swept, points: readonly (readonly Vec[])[], closed: boolean): void {
  const sections = points.length;
  const n = points[0].length;
  /** From the section before to the one after, along a corner. */
  const onward = (section: number, corner: number): Vec => {
    const at = (i: number) => (closed ? (i + sections) % sections : Math.min(sections - 1, Math.max(0, i)));
    return sub(points[at(section + 1)][corner], points[at(section - 1)][corner]);
  };
  points.forEach((corners, section) => {
    const base = 2 * n * section;
    for (let j = 0; j < n; j++) {
      const k = (j + 1) % n;
      const side = sub(corners[k], corners[j]);
      swept.vertex(corners[j], unit(cross(side, onward(section, j))));
      swept.vertex(corners[k], unit(cross(side, onward(section, k))));
      swept.pair(base + 2 * k, base + 2 * j + 1);
    }
  });
  for (let i = 0; i < (closed ? sections : sections - 1); i++) {
    const here = 2 * n * i;
    const next = 2 * n * ((i + 1) % sections);
    for (let j = 0; j < 2 * n; j += 2)
      swept.indices.push(here + j, here + j + 1, next + j + 1, here + j, next + j + 1, next + j);
  }
}

/** A mesh that grows vertex by vertex; doubled ones are paired. */
class Swept {
  readonly indices: number[] = [];
  readonly #positions: number[] = [];
  readonly #normals: number[] = [];
  readonly #mergeFrom: number[] = [];
  readonly #mergeTo: number[] = [];

  vertex(point: Vec, normal: Vec): number {
    this.#positions.push(...point);
    this.#normals.push(...normal);
    return this.#positions.length / 3 - 1;
  }

  pair(from: number, to: number): void {
    this.#mergeFrom.push(from);
    this.#mergeTo.push(to);
  }

  mesh(): WeldedMesh {
    return {
      positions: Float32Array.from(this.#positions),
      normals: Float32Array.from(this.#normals),
      indices: Uint32Array.from(this.indices),
      mergeFrom: Uint32Array.from(this.#mergeFrom),
      mergeTo: Uint32Array.from(this.#mergeTo),
    };
  }
}
