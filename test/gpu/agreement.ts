/** Whether two engines' films are of one distribution: means of tiles over several seeds, compared by Welch's t. Pure. */

export interface Agreement {
  /** largest difference of a lit tile's mean, as a share: of films of the same seeds, and of other ones */
  tileSame: number;
  tileOther: number;
  /** of the sum over the frame */
  wholeSame: number;
  wholeOther: number;
  /** tiles × planes × channels that vary */
  tests: number;
  /** mean of t² of films of other seeds, which is ν / (ν − 2) where both engines agree, and the largest |t| */
  meanT2: number;
  worstT: number;
}

/** Tiles darker than this are not told by their share. */
const LIT = 0.02;

/**
 * @param kernel tile means of one seed each, as `tileMeans` gives them
 * @param same the card's of the same seeds; @param other its means of as many other seeds
 */
export function agreement(kernel: Float64Array[], same: Float64Array[], other: Float64Array[]): Agreement {
  const n = kernel.length;
  const mean = (of: Float64Array[], i: number) => of.reduce((s, m) => s + m[i], 0) / n;
  const variance = (of: Float64Array[], i: number) =>
    of.reduce((s, m) => s + (m[i] - mean(of, i)) ** 2, 0) / (n - 1);
  const whole = (of: Float64Array[]) => of.reduce((s, m) => s + m.reduce((x, y) => x + y, 0), 0);
  const found: Agreement = {
    tileSame: 0,
    tileOther: 0,
    wholeSame: whole(same) / whole(kernel) - 1,
    wholeOther: whole(other) / whole(kernel) - 1,
    tests: 0,
    meanT2: 0,
    worstT: 0,
  };
  for (let i = 0; i < kernel[0].length; i++) {
    const a = mean(kernel, i);
    const b = mean(other, i);
    if (a > LIT) {
      found.tileSame = Math.max(found.tileSame, Math.abs(mean(same, i) / a - 1));
      found.tileOther = Math.max(found.tileOther, Math.abs(b / a - 1));
    }
    const spread = variance(kernel, i) + variance(other, i);
    if (!(spread > 1e-12 * a * a)) continue;
    const t = (b - a) / Math.sqrt(spread / n);
    found.meanT2 += t * t;
    found.worstT = Math.max(found.worstT, Math.abs(t));
    found.tests++;
  }
  found.meanT2 /= found.tests;
  return found;
}
