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
  const place = onePerPlace(positions);
  const kept: number[] = [];
  const renamed = new Uint32Array(place.length);
  for (let v = 0; v < place.length; v++) {
    if (place[v] !== v) {
      renamed[v] = renamed[place[v]];
      continue;
    }
    renamed[v] = kept.length / 3;
    kept.push(positions[3 * v], positions[3 * v + 1], positions[3 * v + 2]);
  }
  const corners = new Uint32Array(indices.length);
  let used = 0;
  for (let t = 0; t < indices.length; t += 3) {
    const [a, b, c] = [renamed[indices[t]], renamed[indices[t + 1]], renamed[indices[t + 2]]];
    if (a === b || b === c || c === a) continue;
    corners[used++] = a;
    corners[used++] = b;
    corners[used++] = c;
  }
  return {
    positions: Float32Array.from(kept),
    indices: withoutFlaps(corners.slice(0, used), kept.length / 3),
  };
}

/** For every vertex the first one at its place. Numbers hashed in one array: keys of text took ten times as long. */
function onePerPlace(positions: Float32Array): Uint32Array {
  const count = positions.length / 3;
  const bits = new Int32Array(positions.map((x) => x + 0).buffer); // + 0 turns −0 into 0
  const slots = new Int32Array(2 ** Math.ceil(Math.log2(2 * count + 1))).fill(-1);
  const mask = slots.length - 1;
  const place = new Uint32Array(count);
  for (let v = 0; v < count; v++) {
    const [x, y, z] = [bits[3 * v], bits[3 * v + 1], bits[3 * v + 2]];
    const hash = Math.imul(x, 73856093) ^ Math.imul(y, 19349663) ^ Math.imul(z, 83492791);
    let at = (hash ^ (hash >>> 15)) & mask;
    for (; slots[at] >= 0; at = (at + 1) & mask) {
      const other = 3 * slots[at];
      if (bits[other] === x && bits[other + 1] === y && bits[other + 2] === z) break;
    }
    if (slots[at] < 0) slots[at] = v;
    place[v] = slots[at];
  }
  return place;
}

/**
 * Two triangles of the same corners that face each other enclose nothing; their edges would have four triangles.
 * @param corners 3 per triangle, below `points`
 */
function withoutFlaps(corners: Uint32Array, points: number): Uint32Array {
  const count = corners.length / 3;
  // triangles by their lowest corner, the last one first
  const last = new Int32Array(points).fill(-1);
  const before = new Int32Array(count);
  const gone = new Uint8Array(count);
  let left = count;
  for (let t = 0; t < count; t++) {
    const [low, p, q] = fromLowest(corners, t);
    let facing = last[low];
    for (; facing >= 0; facing = before[facing]) {
      const [, first, second] = fromLowest(corners, facing);
      if (!gone[facing] && first === q && second === p) break;
    }
    if (facing >= 0) {
      gone[facing] = gone[t] = 1;
      left -= 2;
      continue;
    }
    before[t] = last[low];
    last[low] = t;
  }
  return left === count ? corners : corners.filter((_, i) => !gone[Math.floor(i / 3)]);
}

/** Corners of a triangle, begun at the lowest: the other two are the other way round in one that faces the other way. */
function fromLowest(corners: Uint32Array, t: number): [low: number, next: number, last: number] {
  const [a, b, c] = [corners[3 * t], corners[3 * t + 1], corners[3 * t + 2]];
  const low = Math.min(a, b, c);
  return low === a ? [a, b, c] : low === b ? [b, c, a] : [c, a, b];
}

/** The part enlarged about the middle of the finger hole, bore included: what a shrinking casting needs. */
export function enlarged(part: PartMesh, share: number): PartMesh {
  return share === 0 ? part : { ...part, positions: part.positions.map((x) => x * (1 + share)) };
}
