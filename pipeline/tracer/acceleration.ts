import {
  BLOCK_BYTES,
  BLOCK_IDS,
  NODE_BYTES,
  NODE_CHILDREN,
  STONE_BYTES,
  STONE_LEAF,
  WIDE,
} from './kernel/layout.ts';
import { type PrimitiveRange, Splitter } from './tree-splitter.ts';

/**
 * Builds the kernel's 8-wide tree straight from ranges of primitives, without a binary tree in between: a node starts as
 * one range and its widest range is split by the surface-area heuristic until eight are there. What lies below each child of
 * the root is a branch, which anybody may grow who shares the memory of the start.
 */

export interface TreeInput {
  /** triangle corners xyz and their indices */
  positions: Float32Array;
  indices: Uint32Array;
  /** world bounds per stone: min xyz, max xyz */
  stoneBounds: Float32Array;
}

/** Nodes and blocks, ready to be copied; pointers inside count from where they will lie in the kernel's memory. */
export interface PackedTree {
  bytes: Uint8Array;
  /** child word of the root */
  root: number;
}

/** Where a tree will lie, in byte offsets of the kernel's memory. */
export interface TreePlace {
  /** a multiple of NODE_BYTES */
  base: number;
  /** the stone records, which leaves point to, a multiple of 16 */
  stones: number;
}

/** The root of a tree, and what its branches are grown of. */
export interface TreeStart {
  input: TreeInput;
  /** of triangles and stones: min xyz, max xyz */
  bounds: Float32Array;
  /** primitives in the order of ranges; whoever grows a branch orders those of its range */
  order: Uint32Array;
  children: PrimitiveRange[];
}

/** All below one child of the root; nodes and blocks in it count from its first byte. */
export interface Branch {
  child: number;
  bytes: Uint8Array;
  word: number;
}

/** Memory for arrays of so many floats or words, by name: shared, where others are to grow branches. */
export interface TreeRoom {
  floats(name: string, count: number): Float32Array;
  words(name: string, count: number): Uint32Array;
}

const OWN_ROOM: TreeRoom = {
  floats: (_, count) => new Float32Array(count),
  words: (_, count) => new Uint32Array(count),
};

export function growTree(input: TreeInput, place: TreePlace): PackedTree {
  const start = startTree(input);
  return joinTree(
    start,
    start.children.map((_, child) => growBranch(start, child, place)),
    place,
  );
}

export function startTree(input: TreeInput, room = OWN_ROOM): TreeStart {
  const { positions, indices, stoneBounds } = input;
  const triangles = indices.length / 3;
  const count = triangles + stoneBounds.length / 6;
  const bounds = room.floats('bounds', count * 6);
  for (let i = 0; i < triangles; i++) boundTriangle(positions, indices, i, bounds);
  bounds.set(stoneBounds, triangles * 6);
  const order = room.words('order', count);
  for (let i = 0; i < count; i++) order[i] = i;
  const splitter = new Splitter(bounds, order, triangles);
  return { input, bounds, order, children: childrenOf(splitter.range(0, count), splitter) };
}

/** Bytes that most branches of so many primitives take. */
export const branchBytes = ({ from, to }: PrimitiveRange): number => nodesAt((to - from) * USUAL_BYTES);

/** @param memory to begin in, where nobody looks any more */
export function growBranch(
  start: TreeStart,
  child: number,
  { stones }: TreePlace,
  memory: ArrayBufferLike = new ArrayBuffer(branchBytes(start.children[child])),
): Branch {
  const range = start.children[child];
  const writer = new BranchWriter(start, stones, memory as ArrayBuffer);
  const word = writer.branch(range);
  return { child, bytes: writer.finish(), word };
}

/** @param spare memory for it, if it is large enough */
export function joinTree(
  { children }: TreeStart,
  branches: readonly Branch[],
  { base }: TreePlace,
  spare?: ArrayBuffer,
): PackedTree {
  const room = branches.reduce((sum, { bytes }) => sum + nodesAt(bytes.byteLength), NODE_BYTES);
  const memory =
    spare && spare.byteLength >= room ? spare : new ArrayBuffer(nodesAt(spare ? SPARE * room : room));
  const bytes = new Uint8Array(memory, 0, room);
  const words = new Uint32Array(memory, 0, room / 4);
  layBoxes(new Float32Array(memory), 0, children);
  words.fill(0, NODE_CHILDREN / 4, NODE_BYTES / 4);
  let at = NODE_BYTES;
  for (const branch of branches.toSorted((a, b) => a.child - b.child)) {
    bytes.set(branch.bytes, at);
    words[NODE_CHILDREN / 4 + branch.child] = moved(words, branch.word, at, base);
    at += nodesAt(branch.bytes.byteLength);
  }
  return { bytes, root: base };
}

/**
 * A child word of a branch that has come to lie at `at` of a tree that will lie at `base`, and those of all below it.
 * @param words of the tree
 */
function moved(words: Uint32Array, word: number, at: number, base: number): number {
  const kind = word & 15;
  if (kind === STONE_LEAF) return word;
  if (kind === 0) {
    const children = (at + word + NODE_CHILDREN) / 4;
    for (let lane = 0; lane < WIDE; lane++) {
      const child = words[children + lane];
      if (child !== 0) words[children + lane] = moved(words, child, at, base);
    }
  }
  return word + at + base;
}

/** As much more memory as trees of other bands take, where it is used again. */
const SPARE = 1.2;

/** The next place where a node may begin. */
const nodesAt = (offset: number) => Math.ceil(offset / NODE_BYTES) * NODE_BYTES;

/** What a node over a range has below it: eight ranges, or fewer where they are too small to be split. */
function childrenOf(range: PrimitiveRange, splitter: Splitter): PrimitiveRange[] {
  const children: PrimitiveRange[] = range.to > range.from ? [range] : [];
  while (children.length < WIDE) {
    let widest = -1;
    for (let i = 0; i < children.length; i++) {
      if (!children[i].leaf && (widest < 0 || children[i].area > children[widest].area)) widest = i;
    }
    if (widest < 0) break;
    const halves = splitter.split(children[widest]);
    if (halves) children.splice(widest, 1, ...halves);
  }
  return children;
}

/** The boxes of a node's children. @param f its first float */
function layBoxes(f32: Float32Array, f: number, children: readonly PrimitiveRange[]): void {
  for (let lane = 0; lane < WIDE; lane++) {
    const box = children[lane]?.box;
    for (let k = 0; k < 3; k++) {
      f32[f + lane + 2 * WIDE * k] = box ? box[k] : Infinity;
      f32[f + lane + 2 * WIDE * k + WIDE] = box ? box[3 + k] : -Infinity;
    }
  }
}

function boundTriangle(p: Float32Array, indices: Uint32Array, i: number, bounds: Float32Array): void {
  const a = indices[3 * i] * 3;
  const b = indices[3 * i + 1] * 3;
  const c = indices[3 * i + 2] * 3;
  for (let k = 0; k < 3; k++) {
    const x = p[a + k];
    const y = p[b + k];
    const z = p[c + k];
    bounds[6 * i + k] = Math.min(x, y, z);
    bounds[6 * i + 3 + k] = Math.max(x, y, z);
  }
}

/** What a primitive takes in most branches, with its share of nodes. */
const USUAL_BYTES = 72;

class BranchWriter {
  private readonly start: TreeStart;
  private readonly stonesAt: number;
  private readonly triangles: number;
  private readonly splitter: Splitter;
  private bytes: ArrayBuffer;
  private f32: Float32Array;
  private u32: Uint32Array;
  private end = 0;

  constructor(start: TreeStart, stonesAt: number, memory: ArrayBuffer) {
    const { bounds, order, input } = start;
    this.start = start;
    this.stonesAt = stonesAt;
    this.triangles = input.indices.length / 3;
    this.splitter = new Splitter(bounds, order, this.triangles);
    this.bytes = memory;
    new Uint8Array(memory).fill(0);
    this.f32 = new Float32Array(this.bytes);
    this.u32 = new Uint32Array(this.bytes);
  }

  finish(): Uint8Array {
    return new Uint8Array(this.bytes, 0, this.end);
  }

  /** Writes all below a range; returns its child word. */
  branch(range: PrimitiveRange): number {
    return range.leaf ? this.leaf(range) : this.node(range);
  }

  private node(range: PrimitiveRange): number {
    const at = this.take(NODE_BYTES);
    const children = childrenOf(range, this.splitter);
    layBoxes(this.f32, at / 4, children);
    for (let lane = 0; lane < WIDE; lane++) {
      const child = children[lane];
      const word = child ? (child.leaf ? this.leaf(child) : this.node(child)) : 0;
      this.u32[(at + NODE_CHILDREN) / 4 + lane] = word;
    }
    return at;
  }

  private leaf(r: PrimitiveRange): number {
    const first = this.start.order[r.from];
    if (first >= this.triangles) return this.stonesAt + (first - this.triangles) * STONE_BYTES + STONE_LEAF;
    const blocks = Math.ceil((r.to - r.from) / 4);
    const at = this.take(blocks * BLOCK_BYTES);
    for (let i = r.from; i < r.to; i++) {
      const k = i - r.from;
      this.triangle(this.start.order[i], at + (k >> 2) * BLOCK_BYTES, k & 3);
    }
    // empty lanes stay zero: their determinant is zero and they are never hit
    return at + blocks;
  }

  private triangle(id: number, at: number, lane: number): void {
    const { positions: p, indices } = this.start.input;
    const a = indices[3 * id] * 3;
    const b = indices[3 * id + 1] * 3;
    const c = indices[3 * id + 2] * 3;
    const f = at / 4 + lane;
    for (let k = 0; k < 3; k++) {
      this.f32[f + 4 * k] = p[a + k];
      this.f32[f + 4 * (3 + k)] = p[b + k] - p[a + k];
      this.f32[f + 4 * (6 + k)] = p[c + k] - p[a + k];
    }
    this.u32[(at + BLOCK_IDS) / 4 + lane] = id;
  }

  /** Nodes begin on 256, blocks on 16 bytes. */
  private take(size: number): number {
    const at = size === NODE_BYTES ? (this.end + NODE_BYTES - 1) & -NODE_BYTES : this.end;
    this.end = at + size;
    if (this.end > this.bytes.byteLength) this.enlarge(this.end * 1.5);
    return at;
  }

  private enlarge(bytes: number): void {
    const larger = new ArrayBuffer(nodesAt(bytes));
    new Uint8Array(larger).set(new Uint8Array(this.bytes));
    this.bytes = larger;
    this.f32 = new Float32Array(larger);
    this.u32 = new Uint32Array(larger);
  }
}
