import type { BuiltShape, TriMesh } from '../band/built-shape.ts';
import { loadSolidKernel, NativeSolids, type SolidKernel } from '../setting/solid-kernel.ts';

/** A closed solid without normals: every point once, triangles counter-clockwise from outside. */
export interface PartMesh {
  /** 3 per vertex, mm */
  positions: Float32Array;
  /** 3 per triangle */
  indices: Uint32Array;
  /** bodies that do not touch, lanes of one alloy with another between them: names of each one's lanes, along the finger */
  pieces: string[][];
}

/**
 * Lanes of their own triangles meet along a seam only nearly: what their union leaves there, slits and specks of less
 * than a tenth of a micrometre or than a cube of 0.05 mm, is no feature.
 */
const SPECK_MM = 1e-4;
const SPECK_MM3 = 1e-4;

/**
 * All lanes of one alloy as one part. Neighbouring lanes are united, so no wall is left inside; lanes apart are bodies
 * of their own in the same part.
 * @param lanes indices in the shape's order
 * @throws Error when the lanes make no closed solid, which would be a fault of the program
 */
export async function partMesh(
  shape: BuiltShape,
  lanes: readonly number[],
  kernel?: SolidKernel,
): Promise<PartMesh> {
  const solids = new NativeSolids(kernel ?? (await loadSolidKernel()));
  try {
    const bodies = lanes.map((lane) => {
      const welded = weld(shape.lanes[lane].mesh);
      const none = new Uint32Array(0);
      const normals = new Float32Array(welded.positions.length);
      return solids.fromMesh({ ...welded, normals, mergeFrom: none, mergeTo: none });
    });
    const whole =
      bodies.length === 1 ? bodies[0] : solids.withoutSpecks(solids.unite(bodies), SPECK_MM, SPECK_MM3);
    const mesh = whole.getMesh();
    const positions = new Float32Array((mesh.vertProperties.length / mesh.numProp) * 3);
    for (let v = 0; 3 * v < positions.length; v++)
      for (let k = 0; k < 3; k++) positions[3 * v + k] = mesh.vertProperties[mesh.numProp * v + k];
    return { ...weld({ positions, indices: mesh.triVerts }), pieces: piecesOf(shape, lanes) };
  } finally {
    solids.free();
  }
}

/** Bodies that lanes make together: neighbours touch, and so do lanes on both sides of an inlay above one's shelf. */
function piecesOf(shape: BuiltShape, lanes: readonly number[]): string[][] {
  if (shape.touching) return wiresTogether(shape, lanes, shape.touching);
  const spans = lanes
    .map((lane) => ({ name: shape.lanes[lane].name, columns: [lane, ...(shape.lanes[lane].under ?? [])] }))
    .map(({ name, columns }) => ({ name, from: Math.min(...columns), to: Math.max(...columns) }))
    .sort((a, b) => a.from - b.from);
  let reach = Number.NEGATIVE_INFINITY;
  const pieces: string[][] = [];
  for (const { name, from, to } of spans) {
    if (from > reach + 1) pieces.push([]);
    pieces.at(-1)?.push(name);
    reach = Math.max(reach, to);
  }
  return pieces;
}

/** Wires that touch, or that others of these hold together. */
function wiresTogether(
  { lanes: all }: BuiltShape,
  lanes: readonly number[],
  touching: readonly [number, number][],
): string[][] {
  const meet = (a: number, b: number) => touching.some((pair) => pair.includes(a) && pair.includes(b));
  const pieces: number[][] = [];
  for (const lane of lanes) {
    const held = pieces.filter((piece) => piece.some((other) => meet(lane, other)));
    for (const piece of held) pieces.splice(pieces.indexOf(piece), 1);
    pieces.push([...held.flat(), lane]);
  }
  return pieces.map((piece) => piece.sort((a, b) => a - b).map((lane) => all[lane].name));
}

/** Points at the same place become one; triangles that lose a side go, and pairs that lie back to back. */
function weld({
  positions,
  indices,
}: Pick<TriMesh, 'positions' | 'indices'>): Pick<TriMesh, 'positions' | 'indices'> {
  const known = new Map<string, number>();
  const kept: number[] = [];
  const place = new Uint32Array(positions.length / 3);
  for (let v = 0; v < place.length; v++) {
    const at = [positions[3 * v], positions[3 * v + 1], positions[3 * v + 2]];
    const key = at.map((x) => x + 0).join();
    const found = known.get(key) ?? known.size;
    if (found === known.size) {
      known.set(key, found);
      kept.push(...at);
    }
    place[v] = found;
  }
  const triangles: [number, number, number][] = [];
  for (let t = 0; t < indices.length; t += 3) {
    const [a, b, c] = [place[indices[t]], place[indices[t + 1]], place[indices[t + 2]]];
    if (a !== b && b !== c && c !== a) triangles.push([a, b, c]);
  }
  return { positions: Float32Array.from(kept), indices: Uint32Array.from(withoutFlaps(triangles).flat()) };
}

/** Two triangles of the same corners that face each other enclose nothing; their edges would have four triangles. */
function withoutFlaps(triangles: [number, number, number][]): [number, number, number][] {
  const open = new Map<string, number[]>();
  const gone = new Set<number>();
  triangles.forEach(([a, b, c], t) => {
    const low = Math.min(a, b, c);
    // begun at the lowest corner; the other way round for one that faces the other way
    const [, p, q] = low === a ? [a, b, c] : low === b ? [b, c, a] : [c, a, b];
    const facing = open.get(`${low} ${q} ${p}`)?.pop();
    if (facing !== undefined) {
      gone.add(facing).add(t);
      return;
    }
    const key = `${low} ${p} ${q}`;
    open.set(key, [...(open.get(key) ?? []), t]);
  });
  return gone.size === 0 ? triangles : triangles.filter((_, t) => !gone.has(t));
}

/** The part enlarged about the middle of the finger hole, bore included: what a shrinking casting needs. */
export function enlarged(part: PartMesh, share: number): PartMesh {
  return share === 0 ? part : { ...part, positions: part.positions.map((x) => x * (1 + share)) };
}
