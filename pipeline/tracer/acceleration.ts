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
 * one range and its widest range is split by the surface-area heuristic until eight are there.
 */

export interface TreeInput {
  /** triangle corners xyz and their indices */
  positions: Float32Array;
  indices: Uint32Array;
  /** world bounds per stone: min xyz, max xyz */
  stoneBounds: Float32Array;
}

/** Nodes and blocks, ready to be copied; pointers inside count from `base`. */
export interface PackedTree {
  bytes: ArrayBuffer;
  /** child word of the root */
  root: number;
}

/**
 * @param base byte offset in the kernel's memory at which `bytes` will lie, a multiple of NODE_BYTES
 * @param stonesAt byte offset of the stone records, which leaves point to, a multiple of 16
 */
export function growTree(input: TreeInput, base: number, stonesAt: number): PackedTree {
  const { positions, indices, stoneBounds } = input;
  const triangles = indices.length / 3;
  const stones = stoneBounds.length / 6;
  const count = triangles + stones;

  const bounds = new Float32Array(count * 6);
  for (let i = 0; i < triangles; i++) boundTriangle(positions, indices, i, bounds);
  bounds.set(stoneBounds, triangles * 6);
  const order = new Uint32Array(count);
  for (let i = 0; i < count; i++) order[i] = i;

  const splitter = new Splitter(bounds, order, triangles);
  // worst case: every primitive its own leaf block and every node only two children
  const writer = new TreeWriter(input, base, stonesAt, order, triangles, count);
  const first = splitter.range(0, count);
  const root = writer.node(first, splitter);
  return { bytes: writer.finish(), root };
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

class TreeWriter {
  private readonly input: TreeInput;
  private readonly base: number;
  private readonly stonesAt: number;
  private readonly order: Uint32Array;
  private readonly triangles: number;
  private bytes: ArrayBuffer;
  private f32: Float32Array;
  private u32: Uint32Array;
  private end = 0;

  constructor(
    input: TreeInput,
    base: number,
    stonesAt: number,
    order: Uint32Array,
    triangles: number,
    count: number,
  ) {
    this.input = input;
    this.base = base;
    this.stonesAt = stonesAt;
    this.order = order;
    this.triangles = triangles;
    this.bytes = new ArrayBuffer(Math.max(1024, count * 96));
    this.f32 = new Float32Array(this.bytes);
    this.u32 = new Uint32Array(this.bytes);
  }

  finish(): ArrayBuffer {
    return this.bytes.slice(0, this.end);
  }

  /** Writes a node over `range` and everything below; returns its child word. */
  node(range: PrimitiveRange, splitter: Splitter): number {
    const at = this.take(NODE_BYTES);
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
    for (let lane = 0; lane < WIDE; lane++) {
      const child = children[lane];
      const f = at / 4 + lane;
      if (child) {
        const { box } = child;
        for (let k = 0; k < 3; k++) {
          this.f32[f + 2 * WIDE * k] = box[k];
          this.f32[f + 2 * WIDE * k + WIDE] = box[3 + k];
        }
      } else {
        for (let k = 0; k < 3; k++) {
          this.f32[f + 2 * WIDE * k] = Infinity;
          this.f32[f + 2 * WIDE * k + WIDE] = -Infinity;
        }
      }
    }
    for (let lane = 0; lane < WIDE; lane++) {
      const child = children[lane];
      const word = child ? (child.leaf ? this.leaf(child) : this.node(child, splitter)) : 0;
      this.u32[(at + NODE_CHILDREN) / 4 + lane] = word;
    }
    return this.base + at;
  }

  private leaf(r: PrimitiveRange): number {
    const first = this.order[r.from];
    if (first >= this.triangles) return this.stonesAt + (first - this.triangles) * STONE_BYTES + STONE_LEAF;
    const blocks = Math.ceil((r.to - r.from) / 4);
    const at = this.take(blocks * BLOCK_BYTES);
    for (let i = r.from; i < r.to; i++) {
      const k = i - r.from;
      this.triangle(this.order[i], at + (k >> 2) * BLOCK_BYTES, k & 3);
    }
    // empty lanes stay zero: their determinant is zero and they are never hit
    return this.base + at + blocks;
  }

  private triangle(id: number, at: number, lane: number): void {
    const { positions: p, indices } = this.input;
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
    if (this.end > this.bytes.byteLength) {
      const larger = new ArrayBuffer(Math.ceil((this.end * 1.5) / NODE_BYTES) * NODE_BYTES);
      new Uint8Array(larger).set(new Uint8Array(this.bytes));
      this.bytes = larger;
      this.f32 = new Float32Array(larger);
      this.u32 = new Uint32Array(larger);
    }
    return at;
  }
}
