import type { TraceScene } from '../scene/trace-scene.ts';
import * as at from './kernel/layout.ts';
import type { MemoryView } from './kernel-memory.ts';

/** What packing needs to know of a cut. */
export interface PackedCut {
  blocks: number;
  corners: Float64Array;
}

/** World bounds, min xyz and max xyz a stone. */
export function stoneBounds(scene: TraceScene, cuts: PackedCut[]): Float32Array {
  const bounds = new Float32Array(scene.stones.length * 6);
  scene.stones.forEach((stone, s) => {
    const m = stone.toWorld;
    const { corners } = cuts[stone.cut];
    for (let k = 0; k < 3; k++) {
      let low = Infinity;
      let high = -Infinity;
      for (let i = 0; i < corners.length; i += 3) {
        const v =
          m[4 * k] * corners[i] +
          m[4 * k + 1] * corners[i + 1] +
          m[4 * k + 2] * corners[i + 2] +
          m[4 * k + 3];
        if (v < low) low = v;
        if (v > high) high = v;
      }
      // clear of rounding in single precision
      const slack = 1e-5 + 1e-6 * Math.max(Math.abs(low), Math.abs(high));
      bounds[6 * s + k] = low - slack;
      bounds[6 * s + 3 + k] = high + slack;
    }
  });
  return bounds;
}

/** Planes of every cut, four at a time, and one record a stone. */
export function layStones(
  view: MemoryView,
  scene: TraceScene,
  stonesAt: number,
  planesAt: number[],
  cuts: PackedCut[],
): void {
  scene.cuts.forEach((planes, c) => {
    const count = planes.length / 4;
    for (let b = 0; b < cuts[c].blocks * 4; b++) {
      // the last block is filled up with its last plane
      const p = Math.min(b, count - 1) * 4;
      const lane = planesAt[c] + (b >> 2) * at.PLANE_BLOCK_BYTES + (b & 3) * 4;
      for (let k = 0; k < 4; k++) view.floats(lane + 16 * k, planes[p + k]);
    }
  });
  scene.stones.forEach((stone, s) => {
    const m = stone.toWorld;
    const record = stonesAt + s * at.STONE_BYTES;
    for (let k = 0; k < 3; k++) {
      // the rotation's inverse is its transpose
      const shift = -(m[k] * m[3] + m[4 + k] * m[7] + m[8 + k] * m[11]);
      view.floats(record + 16 * k, m[k], m[4 + k], m[8 + k], shift);
      view.floats(record + at.STONE_TO_WORLD + 16 * k, m[4 * k], m[4 * k + 1], m[4 * k + 2], m[4 * k + 3]);
    }
    view.words(record + at.STONE_PLANES_AT, planesAt[stone.cut], cuts[stone.cut].blocks, stone.gem, s);
  });
}
