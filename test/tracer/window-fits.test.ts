/**
 * The windows' sums in WebAssembly against the same least squares written out plainly: dense normal equations in doubles,
 * solved by Gaussian elimination with pivots (Golub & Van Loan, Matrix Computations, 3.4).
 */
import { expect, it } from 'vitest';
import type { FilterGuide } from '../../pipeline/tracer/film-guide.ts';
import { filterModule } from '../../pipeline/tracer/filter-module.ts';
import { FEATURES } from '../../pipeline/tracer/kernel/layout.ts';
import { valuesFor, WindowFits } from '../../pipeline/tracer/window-fits.ts';
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

function plain(
  { features }: FilterGuide,
  values: Float32Array,
  stride: number,
  radius: number,
): Float64Array {
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
      for (let y = Math.floor((cy - radius) / side) * side; y <= cy + radius; y += side)
        for (let x = Math.floor((cx - radius) / side) * side; x <= cx + radius; x += side) {
          if (x < 0 || y < 0 || x >= WIDTH || y >= HEIGHT) continue;
          const seen = cellOf(features, FEATURES, open, x, y, side);
          const light = cellOf(values, stride, open, x, y, side);
          const middle = (side - 1) / 2;
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
      for (let y = Math.max(0, cy - radius + 1); y < Math.min(HEIGHT, cy + radius); y++)
        for (let x = Math.max(0, cx - radius + 1); x < Math.min(WIDTH, cx + radius); x++) {
          const p = y * WIDTH + x;
          if (!open(p)) continue;
          const share = fall(Math.abs(x - cx)) * fall(Math.abs(y - cy));
          const c = row(features.subarray(p * FEATURES), (x - cx) / radius, (y - cy) / radius);
          for (let k = 0; k < CHANNELS; k++)
            out[p * CHANNELS + k] += share * c.reduce((sum, v, i) => sum + v * fit[i][k], 0);
        }
    }
  return out;
}

it.each([4, 16])('windows of half width %i come to what plain least squares come to', async (radius) => {
  const seen = guide();
  const values = valuesFor(WIDTH * HEIGHT, CHANNELS);
  for (let p = 0; p < WIDTH * HEIGHT; p++)
    for (let k = 0; k < CHANNELS; k++) values.data[p * values.channels + k] = 0.2 * k + random();
  const out = valuesFor(WIDTH * HEIGHT, CHANNELS);
  await (await WindowFits.create(seen, await filterModule())).add(values, radius, out, async () => {});
  const expected = plain(seen, values.data, values.channels, radius);
  let worst = 0;
  for (let p = 0; p < WIDTH * HEIGHT; p++)
    for (let k = 0; k < CHANNELS; k++)
      worst = Math.max(worst, Math.abs(out.data[p * out.channels + k] - expected[p * CHANNELS + k]));
  // fits reach a few units here; floats have 24 bits
  expect(worst).toBeLessThan(1e-5);
});
