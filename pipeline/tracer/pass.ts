/**
 * Passes come in blocks. The size of a tile's next block depends on nothing but the samples it has, so that films
 * are the same bits on any number of workers and after any interruption.
 */

/** Samples `from` up to `middle` go to half A, `middle` up to `to` to half B. */
export interface Block {
  from: number;
  middle: number;
  to: number;
}

/**
 * Blocks are powers of two that start at multiples of their size, because low-discrepancy sequences are even only
 * over such stretches: 4, 4, 8, 16, then 32 each, and 64 from 256 on. A tile is thus judged about every quarter of
 * the samples it has, and the first picture comes after 4.
 */
export function nextBlock(samples: number, cap: number): Block {
  const size = samples < 8 ? 4 : samples < 16 ? 8 : samples < 32 ? 16 : samples < 256 ? 32 : 64;
  const to = Math.min(samples + size, cap);
  return { from: samples, middle: samples + Math.ceil((to - samples) / 2), to };
}
