import { readFileSync } from 'node:fs';
import * as now from '../../pipeline/tracer/film-filter.ts';
import { GUIDE_PLANES, guideOf } from '../../pipeline/tracer/film-guide.ts';
import { filterModule } from '../../pipeline/tracer/filter-module.ts';

const sums = await filterModule();
const D = '/work/scratch-clean/data';
const read = (f: string) => {
  const b = readFileSync(f);
  return new Float32Array(b.buffer.slice(b.byteOffset, b.byteOffset + b.length));
};
const T = 4,
  S = 192,
  W = S * T;
const tile = (a: Float32Array) => {
  const o = new Float32Array(W * W * 3);
  for (let y = 0; y < W; y++)
    for (let x = 0; x < W; x++)
      for (let k = 0; k < 3; k++) {
        const sx = Math.floor(x / S) % 2 ? S - 1 - (x % S) : x % S;
        const sy = Math.floor(y / S) % 2 ? S - 1 - (y % S) : y % S;
        o[(y * W + x) * 3 + k] = a[(sy * S + sx) * 3 + k];
      }
  return o;
};
const name = process.argv[2];
const n = 16;
const { planes, colourways } = JSON.parse(readFileSync(`${D}/${name}-${n}.json`, 'utf8'));
const all = Array.from({ length: planes }, (_, i) => tile(read(`${D}/${name}-${n}-${i}`)));
const films = [0, 1, 2].map((i) => all[Math.min(i, colourways - 1)]);
const mean = films[0].map((_, i) => films.reduce((s, f) => s + f[i], 0) / films.length);
const guide = guideOf(
  all.slice(-GUIDE_PLANES).map((data) => ({ width: W, height: W, data })),
  mean,
);
const c0 = process.cpuUsage();
const choice = await now.chooseFits(guide, sums);
const c1 = process.cpuUsage(c0).user / 1e6;
const a0 = process.cpuUsage();
await now.applyFits(guide, sums, choice, films);
const f = (1500 / W) ** 2;
const ap = process.cpuUsage(a0).user / 1e6;
console.log(
  name,
  'at 1500²: choose',
  (c1 * f).toFixed(1),
  'apply three',
  (ap * f).toFixed(1),
  'nine',
  ((c1 + 3 * ap) * f).toFixed(1),
);
