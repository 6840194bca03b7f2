/** Kinds of pixels, by which the film filter averages what it judges fits by. */
import type { FilterGuide } from './film-guide.ts';
import { FEATURES } from './kernel/layout.ts';
import { filterable, type Rows } from './window-fits.ts';

/**
 * Calm pixels, where features hardly change from one to the next, are judged by calm ones alone: what fits miss along edges
 * kept the grain of smooth metal up to eight pixels from them. Busy ones are judged by both: by themselves too few, they kept
 * specks that fits take off.
 */
export const CLOSED = 0;
const CALM = 1;
const BUSY = 2;
/** Difference of a feature between neighbours that makes them busy. */
const EDGE = 0.05;

/** Kinds of the pixels of some rows. */
export function kindsIn(guide: FilterGuide, { from, to }: Rows): Uint8Array {
  const first = from * guide.width;
  const kinds = new Uint8Array((to - from) * guide.width);
  for (let p = 0; p < kinds.length; p++)
    if (filterable(guide, first + p)) kinds[p] = isBusy(guide, first + p) ? BUSY : CALM;
  return widened(kinds, guide.width);
}

/** Also what lies between busy pixels is busy: a line of light a few pixels wide is no calm place. */
function widened(kinds: Uint8Array, width: number): Uint8Array {
  const height = kinds.length / width;
  return kinds.map((kind, p) => {
    if (kind !== CALM) return kind;
    const x = p % width;
    const y = (p - x) / width;
    for (let j = Math.max(0, y - 1); j <= Math.min(height - 1, y + 1); j++)
      for (let i = Math.max(0, x - 1); i <= Math.min(width - 1, x + 1); i++)
        if (kinds[j * width + i] === BUSY) return BUSY;
    return CALM;
  });
}

/** Whether any of the pixels round this one shows something else: another class, surface, slope or mirror. */
function isBusy({ width, height, features }: FilterGuide, pixel: number): boolean {
  const x = pixel % width;
  const y = (pixel - x) / width;
  const own = pixel * FEATURES;
  for (let j = Math.max(0, y - 1); j <= Math.min(height - 1, y + 1); j++)
    for (let i = Math.max(0, x - 1); i <= Math.min(width - 1, x + 1); i++) {
      const other = (j * width + i) * FEATURES;
      for (let f = 0; f < FEATURES; f++)
        if (Math.abs(features[own + f] - features[other + f]) > EDGE) return true;
    }
  return false;
}

/**
 * Values with none above all of its open neighbours: a pixel whose halves are both off by chance would keep the grain of all
 * round it, while an edge or a highlight that a fit misses is missed by several pixels.
 */
export function withoutSpikes(values: Float32Array, kinds: Uint8Array, width: number): Float32Array {
  const out = values.slice();
  const height = values.length / width;
  for (let y = 0, p = 0; y < height; y++)
    for (let x = 0; x < width; x++, p++) {
      if (kinds[p] === CLOSED) continue;
      let most = Number.NEGATIVE_INFINITY;
      for (let j = Math.max(0, y - 1); j <= Math.min(height - 1, y + 1); j++)
        for (let q = j * width + Math.max(0, x - 1); q <= j * width + Math.min(width - 1, x + 1); q++)
          if (q !== p && kinds[q] !== CLOSED && values[q] > most) most = values[q];
      if (most < out[p] && most > Number.NEGATIVE_INFINITY) out[p] = most;
    }
  return out;
}

/** Means of calm pixels over the calm ones round about, of busy ones over both kinds. */
export class KindMean {
  private readonly kinds: Uint8Array;
  private readonly ofCalm: BoxMean;
  private readonly ofBoth: BoxMean;

  /** @param calm radius for calm pixels */
  constructor(kinds: Uint8Array, width: number, height: number, radius: number, calm = radius) {
    this.kinds = kinds;
    this.ofCalm = new BoxMean(
      kinds.map((k) => (k === CALM ? 1 : 0)),
      width,
      height,
      calm,
    );
    this.ofBoth = new BoxMean(
      kinds.map((k) => (k === CLOSED ? 0 : 1)),
      width,
      height,
      radius,
    );
  }

  of(values: Float32Array): Float32Array {
    const { kinds } = this;
    const means = this.ofBoth.of(values);
    const calm = this.ofCalm.of(values);
    for (let p = 0; p < means.length; p++) if (kinds[p] === CALM) means[p] = calm[p];
    return means;
  }
}

/** Means over the open pixels of squares of 2·radius + 1, twice over, which is nearly a bell. */
class BoxMean {
  private readonly open: Uint8Array;
  private readonly width: number;
  private readonly height: number;
  private readonly radius: number;
  private readonly weights: Float32Array;

  constructor(open: Uint8Array, width: number, height: number, radius: number) {
    this.open = open;
    this.width = width;
    this.height = height;
    this.radius = radius;
    this.weights = this.sums(new Float32Array(open));
  }

  of(values: Float32Array): Float32Array {
    const sums = values.slice();
    for (let p = 0; p < sums.length; p++) if (!this.open[p]) sums[p] = 0;
    this.sums(sums);
    for (let p = 0; p < sums.length; p++) sums[p] = this.open[p] ? sums[p] / this.weights[p] : 0;
    return sums;
  }

  private sums(plane: Float32Array): Float32Array {
    for (let round = 0; round < 2; round++) {
      this.across(plane);
      this.down(plane);
    }
    return plane;
  }

  private across(plane: Float32Array): void {
    const { width, height, radius } = this;
    const line = new Float64Array(width + 1);
    for (let at = 0; at < width * height; at += width) {
      for (let i = 0; i < width; i++) line[i + 1] = line[i] + plane[at + i];
      for (let i = 0; i < width; i++)
        plane[at + i] = line[Math.min(width, i + radius + 1)] - line[Math.max(0, i - radius)];
    }
  }

  /** Row by row, since columns lie far apart in memory. */
  private down(plane: Float32Array): void {
    const { width, height, radius } = this;
    const sums = new Float64Array(width);
    /** rows as they were, as many as a sum still takes back */
    const kept = new Float32Array(width * (radius + 1));
    for (let y = -radius; y < height; y++) {
      const ahead = (y + radius) * width;
      if (y + radius < height) for (let x = 0; x < width; x++) sums[x] += plane[ahead + x];
      if (y < 0) continue;
      const slot = (y % (radius + 1)) * width;
      // the row that was kept radius + 1 rows ago has left the square
      if (y > radius) for (let x = 0; x < width; x++) sums[x] -= kept[slot + x];
      for (let x = 0; x < width; x++) {
        kept[slot + x] = plane[y * width + x];
        plane[y * width + x] = sums[x];
      }
    }
  }
}
