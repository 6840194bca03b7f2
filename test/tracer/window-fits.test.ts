/**
 * The windows' sums in WebAssembly against the same least squares written out plainly: dense normal equations in doubles,
 * solved by Gaussian elimination with pivots (Golub & Van Loan, Matrix Computations, 3.4).
 */
import { expect, it } from 'vitest';
import type { FilterGuide } from '../../pipeline/tracer/film-guide.ts';
import { filterModule } from '../../pipeline/tracer/filter-module.ts';
import { FEATURES } from '../../pipeline/tracer/kernel/layout.ts';
import { type Rows, rowsReached, WindowFits } from '../../pipeline/tracer/window-fits.ts';
import { numbers } from './kernel-fixture.ts';

const WIDTH = 45;
const HEIGHT = 38;
const CHANNELS = 6;

const random = numbers(5);

/** Metal at the left, ground at the right, an edge between, a stone in the middle; everything else by chance. */
function guide(): FilterGuide {
  const count = WIDTH * HEIGHT;
  const features = new Float32Array(count * FEATURES);
  for (let p = 0; p < count; p++) {
    const [x, y] = [p % WIDTH, Math.floor(p / WIDTH)];
    const stone = Math.hypot(x - 22, y - 19) < 5 ? 1 : 0;
    const metal = (1 - stone) * Math.min(1, Math.max(0, 24.4 - x));
    features.set([metal, 1 - stone - metal, stone], p * FEATURES);
    for (let f = 3; f < FEATURES; f++) features[p * FEATURES + f] = metal * random();
  }
  const spread = Float32Array.from({ length: count * 3 }, (_, i) => (i < 15 ? 0 : 0.1));
  return { width: WIDTH, height: HEIGHT, features, mean: new Float32Array(count * 3), spread };
}

const NOISE = (i: number) => (i < 3 || i >= FEATURES ? 1e-6 : i < 6 ? 2e-5 : 1e-4);

function row(features: ArrayLike<number>, x: number, y: number): number[] {
  const [m, g] = [features[0], features[1]];
  const ofMetal = [m, m * x, m * y, ...Array.from({ length: FEATURES - 3 }, (_, i) => features[3 + i])];
  return [...ofMetal, g, g * x, g * y, g * x * x, g * x * y, g * y * y];
}

function eliminated(matrix: number[][], right: number[][]): number[][] {
  const n = matrix.length;
  const rows = matrix.map((r, i) => [...r, ...right[i]]);
  for (let i = 0; i < n; i++) {
    const pivot = rows
      .slice(i)
      .reduce((best, r, k) => (Math.abs(r[i]) > Math.abs(rows[best][i]) ? i + k : best), i);
    [rows[i], rows[pivot]] = [rows[pivot], rows[i]];
    for (let k = 0; k < n; k++) {
      if (k === i) continue;
      const f = rows[k][i] / rows[i][i];
      for (let j = i; j < rows[k].length; j++) rows[k][j] -= f * rows[i][j];
    }
  }
  return rows.map((r, i) => r.slice(n).map((v) => v / r[i]));
}

/** Means of the open pixels of each cell. */
function cellOf(
  of: ArrayLike<number>,
  per: number,
  open: (p: number) => boolean,
  x0: number,
  y0: number,
  side: number,
) {
  const sum = new Array<number>(per).fill(0);
  let n = 0;
  for (let y = y0; y < Math.min(HEIGHT, y0 + side); y++)
    for (let x = x0; x < Math.min(WIDTH, x0 + side); x++) {
      const p = y * WIDTH + x;
      if (!open(p)) continue;
      n++;
      for (let k = 0; k < per; k++) sum[k] += of[p * per + k];
    }
  return { n, mean: sum.map((v) => v / Math.max(1, n)) };
}

function plain({ features }: FilterGuide, values: Float32Array, radius: number): Float64Array {
  const open = (p: number) => features[p * FEATURES + 2] === 0;
  const side = Math.max(1, radius / 8);
  const out = new Float64Array(WIDTH * HEIGHT * CHANNELS);
  const fall = (d: number) => 0.5 + 0.5 * Math.cos((Math.PI * d) / radius);
  for (let cy = 0; cy < HEIGHT + radius; cy += radius)
    for (let cx = 0; cx < WIDTH + radius; cx += radius) {
      const n = FEATURES + 6;
      const matrix = Array.from({ length: n }, () => new Array<number>(n).fill(0));
      const right = Array.from({ length: n }, () => new Array<number>(CHANNELS).fill(0));
      let pixels = 0;
      for (let y = cy - radius; y < cy + radius; y += side)
        for (let x = cx - radius; x < cx + radius; x += side) {
          if (x < 0 || y < 0 || x >= WIDTH || y >= HEIGHT) continue;
          const seen = cellOf(features, FEATURES, open, x, y, side);
          const light = cellOf(values, CHANNELS, open, x, y, side);
          const middle = side / 2;
          const c = row(seen.mean, (x + middle - cx) / radius, (y + middle - cy) / radius);
          pixels += seen.n;
          for (let i = 0; i < n; i++) {
            for (let j = 0; j < n; j++) matrix[i][j] += seen.n * c[i] * c[j];
            for (let k = 0; k < CHANNELS; k++) right[i][k] += seen.n * c[i] * light.mean[k];
          }
        }
      if (pixels === 0) continue;
      for (let i = 0; i < n; i++) matrix[i][i] += pixels * NOISE(i);
      const fit = eliminated(matrix, right);
      for (let y = Math.max(0, cy - radius); y < Math.min(HEIGHT, cy + radius); y++)
        for (let x = Math.max(0, cx - radius); x < Math.min(WIDTH, cx + radius); x++) {
          const p = y * WIDTH + x;
          if (!open(p)) continue;
          const [u, v] = [x + 0.5 - cx, y + 0.5 - cy];
          const share = fall(u) * fall(v);
          const c = row(features.subarray(p * FEATURES), u / radius, v / radius);
          for (let k = 0; k < CHANNELS; k++)
            out[p * CHANNELS + k] += share * c.reduce((sum, v, i) => sum + v * fit[i][k], 0);
        }
    }
  return out;
}

it.each([4, 16])('windows of half width %i come to what plain least squares come to', async (radius) => {
  const seen = guide();
  const values = Float32Array.from(
    { length: WIDTH * HEIGHT * CHANNELS },
    (_, i) => 0.2 * (i % CHANNELS) + random(),
  );
  const fits = await WindowFits.create(await filterModule());
  const all = { from: 0, to: HEIGHT };
  const said = fitted(fits, seen, values, radius, all);
  const expected = plain(seen, values, radius);
  // fits reach a few units here; floats have 24 bits
  expect(worst(said, expected)).toBeLessThan(1e-5);
  // rows asked for by themselves are told the same
  const some = { from: 11, to: 23 };
  const part = said.subarray(some.from * WIDTH * CHANNELS, some.to * WIDTH * CHANNELS);
  expect(fitted(fits, seen, values, radius, some)).toEqual(part);
});

function fitted(fits: WindowFits, seen: FilterGuide, values: Float32Array, radius: number, rows: Rows) {
  fits.hold(seen, rows, CHANNELS);
  const { channels } = fits;
  const reach = rowsReached(rows, HEIGHT);
  for (let p = 0; p < (reach.to - reach.from) * WIDTH; p++)
    for (let k = 0; k < CHANNELS; k++)
      fits.values[p * channels + k] = values[(reach.from * WIDTH + p) * CHANNELS + k];
  fits.out.fill(0);
  fits.add(radius);
  const pixels = (rows.to - rows.from) * WIDTH;
  return Float32Array.from(
    { length: pixels * CHANNELS },
    (_, i) => fits.out[Math.floor(i / CHANNELS) * channels + (i % CHANNELS)],
  );
}

function worst(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let most = 0;
  for (let i = 0; i < a.length; i++) most = Math.max(most, Math.abs(a[i] - b[i]));
  return most;
}
