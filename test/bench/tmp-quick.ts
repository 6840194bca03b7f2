import { readFileSync, readdirSync } from 'node:fs';
import * as now from '../../pipeline/tracer/film-filter.ts';
import { GUIDE_PLANES, guideOf } from '../../pipeline/tracer/film-guide.ts';
import { filterModule } from '../../pipeline/tracer/filter-module.ts';
import { seenSquare } from '../../pipeline/tracer/film-error.ts';
import { cleanErrors } from './clean-error.ts';
const sums = await filterModule();
const D = '/work/scratch-clean/data';
const read = (f: string) => { const b = readFileSync(f); return new Float32Array(b.buffer.slice(b.byteOffset, b.byteOffset + b.length)); };
const name = process.argv[2];
const classes = new Uint8Array(readFileSync(`${D}/${name}.classes`));
const { planes, colourways } = JSON.parse(readFileSync(`${D}/${name}-16.json`, 'utf8'));
const R = 'output/clean-references';
const best = [512, 256].find((n) => readdirSync(R).filter((f) => f.startsWith(name + '-') && f.endsWith(`-${n}`)).length === 2);
const halves = readdirSync(R).filter((f) => f.startsWith(name + '-') && f.endsWith(`-${best}`)).map((f) => read(`${R}/${f}`));
const split = (a: Float32Array) => Array.from({ length: colourways }, (_, c) => a.subarray(c * 110592, (c + 1) * 110592));
const ref = split(halves[0].map((v, i) => (v + halves[1][i]) / 2));
const show = (w: string, e: any) => console.log(name, w, ...['ground', 'metal', 'stone'].map((k) => e[k].pixels ? `${k} ΔE ${e[k].deltaE.toFixed(2)} ${(1000 * e[k].over).toFixed(1)}‰ blocks ${e[k].blocks.toFixed(2)};` : ''), 'ssim', e.ssim.toFixed(4));
if (process.argv[4]) show(`ref halves of ${best}`, cleanErrors(split(halves[0]), split(halves[1]), classes));
for (const n of process.argv[3].split(',')) {
  const all = Array.from({ length: planes }, (_, i) => read(`${D}/${name}-${n}-${i}`));
  const films = all.slice(0, colourways);
  const mean = films[0].map((_, i) => films.reduce((s, f) => s + f[i], 0) / films.length);
  const guide = guideOf(all.slice(-GUIDE_PLANES).map((data) => ({ width: 192, height: 192, data })), mean);
  const t = process.cpuUsage();
  const out = await now.applyFits(guide, sums, await now.chooseFits(guide, sums), films);
  const cpu = process.cpuUsage(t).user / 1e6;
  if (process.argv[4]) show(`${n} raw`, cleanErrors(films, ref, classes));
  show(`${n} filtered ${process.env.NO_BAR ? 'without bar' : `bar ${process.env.SURE ?? 1.25}`}`, cleanErrors(out, ref, classes));
  const t4 = [0, 0, 0, 0];
  for (let p = 0; p < 36864; p++) { const s = guide.features[p * 12 + 2] > 0 ? 1 : 0; const sp = guide.spread; t4[s * 2] += seenSquare(mean[3 * p], mean[3 * p + 1], mean[3 * p + 2], sp[3 * p], sp[3 * p + 1], sp[3 * p + 2]) * 0.2821 ** 2; t4[s * 2 + 1]++; }
  console.log('  estimated rms ΔE raw beside stones', Math.sqrt(t4[0] / t4[1]).toFixed(2), 'in stones', Math.sqrt(t4[2] / Math.max(1, t4[3])).toFixed(2), 'px', t4[3], 'cpu', cpu.toFixed(2));
}
