import type { WeldedMesh } from '../band/welded-mesh.ts';

/** Solids nearer to each other than this are not taken for separate, mm. */
const APART_MM = 1e-4;

/**
 * As few meshes as a first look gives, in which solids that lie clear of each other are parts of one: the engine
 * then takes in a row of seats or claws at once instead of uniting it piece by piece. Whether two lie clear is judged
 * by their boxes, and where these overlap by a plane across the line between their middles; in doubt they stay apart
 * and are united as solids.
 */
export function joinDisjoint(meshes: readonly WeldedMesh[]): WeldedMesh[] {
  if (meshes.length < 2) return [...meshes];
  const groups: Body[][] = [];
  for (const mesh of meshes) {
    const body = bodyOf(mesh);
    const home = groups.find((group) => group.every((other) => bodiesClear(body, other)));
    if (home) home.push(body);
    else groups.push([body]);
  }
  return groups.map((group) => joined(group.map(({ mesh }) => mesh)));
}

interface Body {
  mesh: WeldedMesh;
  low: number[];
  high: number[];
}

function bodyOf(mesh: WeldedMesh): Body {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  const p = mesh.positions;
  for (let i = 0; i < p.length; i += 3) {
    for (let k = 0; k < 3; k++) {
      if (p[i + k] < low[k]) low[k] = p[i + k];
      if (p[i + k] > high[k]) high[k] = p[i + k];
    }
  }
  return { mesh, low, high };
}

/** Whether two solids are known to lie clear of each other. */
export const areClear = (a: WeldedMesh, b: WeldedMesh) => bodiesClear(bodyOf(a), bodyOf(b));

function bodiesClear(a: Body, b: Body): boolean {
  for (let k = 0; k < 3; k++) {
    if (a.low[k] > b.high[k] + APART_MM || b.low[k] > a.high[k] + APART_MM) return true;
  }
  const way = [0, 1, 2].map((k) => b.low[k] + b.high[k] - a.low[k] - a.high[k]);
  const size = Math.hypot(...way);
  return size > 0 && reach(b.mesh, way, -1) + reach(a.mesh, way, 1) < -APART_MM * size;
}

/** How far a mesh reaches along a direction or, with −1, against it. */
function reach({ positions: p }: WeldedMesh, [x, y, z]: number[], sign: 1 | -1): number {
  let most = -Infinity;
  for (let i = 0; i < p.length; i += 3) {
    most = Math.max(most, sign * (p[i] * x + p[i + 1] * y + p[i + 2] * z));
  }
  return most;
}

function joined(meshes: WeldedMesh[]): WeldedMesh {
  if (meshes.length === 1) return meshes[0];
  const firsts: number[] = [];
  let count = 0;
  for (const { positions } of meshes) {
    firsts.push(count);
    count += positions.length / 3;
  }
  return {
    positions: appended(
      Float32Array,
      meshes.map((m) => m.positions),
    ),
    normals: appended(
      Float32Array,
      meshes.map((m) => m.normals),
    ),
    indices: appended(
      Uint32Array,
      meshes.map((m) => m.indices),
      firsts,
    ),
    mergeFrom: appended(
      Uint32Array,
      meshes.map((m) => m.mergeFrom),
      firsts,
    ),
    mergeTo: appended(
      Uint32Array,
      meshes.map((m) => m.mergeTo),
      firsts,
    ),
  };
}

function appended<T extends Float32Array | Uint32Array>(
  Kind: new (length: number) => T,
  parts: readonly T[],
  shifts?: readonly number[],
): T {
  const whole = new Kind(parts.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  parts.forEach((part, i) => {
    whole.set(part, at);
    const shift = shifts?.[i] ?? 0;
    if (shift > 0) for (let k = at; k < at + part.length; k++) whole[k] += shift;
    at += part.length;
  });
  return whole;
}
