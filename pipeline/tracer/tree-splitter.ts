/**
 * How ranges of primitives are parted. The surface-area heuristic's leaf cost is ceil(n / 4) because four triangles are tested
 * at once. All three axes are binned: only the longest took about half of the time and gave 10 % fewer rays a second on a band
 * of 65,536 triangles.
 *
 * Tried without gain on that band (all rays, within 2 %, a busy machine): VISIT 0.5 and 0.2.
 */
import { MAX_LEAF_BLOCKS } from './kernel/layout.ts';

const BINS = 16;
/** cost of visiting a node in units of one block of four triangles; a stone of some sixty planes costs about eight */
const VISIT = 1;

/** Primitives that lie together. */
export interface PrimitiveRange {
  from: number;
  to: number;
  /** min xyz, max xyz */
  box: Float32Array;
  /** of doubled centroids */
  centres: Float32Array;
  area: number;
  stone: boolean;
  leaf: boolean;
}

export class Splitter {
  private readonly bounds: Float32Array;
  private readonly order: Uint32Array;
  private readonly triangles: number;
  /** BINS boxes for each axis */
  private readonly binBounds = new Float32Array(3 * BINS * 6);
  private readonly binCount = new Int32Array(3 * BINS);
  private readonly rightCost = new Float64Array(BINS);
  private readonly swept = new Float32Array(6);

  constructor(bounds: Float32Array, order: Uint32Array, triangles: number) {
    this.bounds = bounds;
    this.order = order;
    this.triangles = triangles;
  }

  range(from: number, to: number): PrimitiveRange {
    const { bounds, order } = this;
    const box = new Float32Array(6);
    const centres = new Float32Array(6);
    clear(box, 0);
    clear(centres, 0);
    let stone = false;
    for (let i = from; i < to; i++) {
      const p = order[i] * 6;
      widen(box, 0, bounds, p);
      if (order[i] >= this.triangles) stone = true;
      const x = bounds[p] + bounds[p + 3];
      const y = bounds[p + 1] + bounds[p + 4];
      const z = bounds[p + 2] + bounds[p + 5];
      if (x < centres[0]) centres[0] = x;
      if (y < centres[1]) centres[1] = y;
      if (z < centres[2]) centres[2] = z;
      if (x > centres[3]) centres[3] = x;
      if (y > centres[4]) centres[4] = y;
      if (z > centres[5]) centres[5] = z;
    }
    const n = to - from;
    return {
      from,
      to,
      box,
      centres,
      stone,
      area: n > 0 ? area(box, 0) : 0,
      leaf: n <= 1 || (n <= 4 && !stone),
    };
  }

  /** Splits a range in two, or marks it a leaf and returns nothing. */
  split(r: PrimitiveRange): [PrimitiveRange, PrimitiveRange] | undefined {
    const n = r.to - r.from;
    const mayBeLeaf = !r.stone && n <= MAX_LEAF_BLOCKS * 4;
    // few primitives don't fill many bins, and clearing them is most of the work then
    const bins = n < 64 ? BINS / 2 : BINS;
    const scale = [0, 1, 2].map((k) => {
      const extent = r.centres[3 + k] - r.centres[k];
      return extent > 0 ? (bins * 0.9999) / extent : 0;
    });
    this.fill(r, bins, scale[0], scale[1], scale[2]);
    let axis = 0;
    let bin = -1;
    let cost = Infinity;
    for (let k = 0; k < 3; k++) {
      if (scale[k] === 0) continue;
      const found = this.sweep(k, bins, n);
      if (found.cost < cost) {
        ({ bin, cost } = found);
        axis = k;
      }
    }
    if (mayBeLeaf && (bin < 0 || Math.ceil(n / 4) <= VISIT + cost / r.area)) {
      r.leaf = true;
      return undefined;
    }
    let middle = bin < 0 ? -1 : this.partition(r, axis, r.centres[axis], scale[axis], bin);
    // coinciding centroids that are no leaf: halve by order
    if (middle <= r.from || middle >= r.to) middle = (r.from + r.to) >> 1;
    return [this.range(r.from, middle), this.range(middle, r.to)];
  }

  private fill(r: PrimitiveRange, bins: number, sx: number, sy: number, sz: number): void {
    const { bounds, order, binBounds, binCount } = this;
    for (let b = 0; b < 3 * bins; b++) {
      clear(binBounds, b * 6);
      binCount[b] = 0;
    }
    const [lx, ly, lz] = r.centres;
    for (let i = r.from; i < r.to; i++) {
      const p = order[i] * 6;
      const x = ((bounds[p] + bounds[p + 3] - lx) * sx) | 0;
      const y = (((bounds[p + 1] + bounds[p + 4] - ly) * sy) | 0) + bins;
      const z = (((bounds[p + 2] + bounds[p + 5] - lz) * sz) | 0) + 2 * bins;
      binCount[x]++;
      binCount[y]++;
      binCount[z]++;
      widen(binBounds, x * 6, bounds, p);
      widen(binBounds, y * 6, bounds, p);
      widen(binBounds, z * 6, bounds, p);
    }
  }

  private sweep(axis: number, bins: number, n: number): { bin: number; cost: number } {
    const { binBounds, binCount, rightCost, swept } = this;
    const first = axis * bins;
    clear(swept, 0);
    let right = 0;
    for (let b = bins - 1; b > 0; b--) {
      widen(swept, 0, binBounds, (first + b) * 6);
      right += binCount[first + b];
      rightCost[b] = right > 0 ? area(swept, 0) * Math.ceil(right / 4) : 0;
    }
    clear(swept, 0);
    let left = 0;
    let cost = Infinity;
    let bin = -1;
    for (let b = 0; b < bins - 1; b++) {
      widen(swept, 0, binBounds, (first + b) * 6);
      left += binCount[first + b];
      if (left === 0 || left === n) continue;
      const here = area(swept, 0) * Math.ceil(left / 4) + rightCost[b + 1];
      if (here < cost) {
        cost = here;
        bin = b;
      }
    }
    return { bin, cost };
  }

  private partition(r: PrimitiveRange, axis: number, low: number, scale: number, bin: number): number {
    const { bounds, order } = this;
    let i = r.from;
    let j = r.to - 1;
    while (i <= j) {
      const p = order[i] * 6;
      if ((((bounds[p + axis] + bounds[p + 3 + axis] - low) * scale) | 0) <= bin) i++;
      else {
        const swap = order[i];
        order[i] = order[j];
        order[j--] = swap;
      }
    }
    return i;
  }
}

function clear(box: Float32Array, at: number): void {
  box[at] = box[at + 1] = box[at + 2] = Infinity;
  box[at + 3] = box[at + 4] = box[at + 5] = -Infinity;
}

/** Written out: a loop over the axes made the whole build a third slower. */
function widen(box: Float32Array, at: number, by: Float32Array, from: number): void {
  if (by[from] < box[at]) box[at] = by[from];
  if (by[from + 1] < box[at + 1]) box[at + 1] = by[from + 1];
  if (by[from + 2] < box[at + 2]) box[at + 2] = by[from + 2];
  if (by[from + 3] > box[at + 3]) box[at + 3] = by[from + 3];
  if (by[from + 4] > box[at + 4]) box[at + 4] = by[from + 4];
  if (by[from + 5] > box[at + 5]) box[at + 5] = by[from + 5];
}

function area(box: Float32Array, at: number): number {
  const x = box[at + 3] - box[at];
  const y = box[at + 4] - box[at + 1];
  const z = box[at + 5] - box[at + 2];
  return x * y + y * z + z * x;
}
