import { existsSync, readFileSync } from 'node:fs';
import * as now from '../../pipeline/tracer/film-filter.ts';
import { GUIDE_PLANES, guideOf } from '../../pipeline/tracer/film-guide.ts';
import * as old from './tmp-old-filter.ts';

const D = '/work/scratch-clean/data';
const read = (f: string) => {
  const b = readFileSync(f);
  return new Float32Array(b.buffer.slice(b.byteOffset, b.byteOffset + b.length));
};
for (const name of process.argv[2].split(',')) {
  const n = 16;
  const { planes, colourways } = JSON.parse(readFileSync(`${D}/${name}-${n}.json`, 'utf8'));
  const all = Array.from({ length: planes }, (_, i) => read(`${D}/${name}-${n}-${i}`));
  const films = [0, 1, 2].map((i) => all[Math.min(i, colourways - 1)]);
  const mean = films[0].map((_, i) => films.reduce((s, f) => s + f[i], 0) / films.length);
  const guide = guideOf(
    all.slice(-GUIDE_PLANES).map((data) => ({ width: 192, height: 192, data })),
    mean,
  );
  const timed = async (m: any) => {
    const c0 = process.cpuUsage();
    const choice = await m.chooseFits(guide);
    const c1 = process.cpuUsage(c0).user / 1e6;
    const a0 = process.cpuUsage();
    const out = await m.applyFits(guide, choice, films);
    return { choice, out, choose: c1, apply: process.cpuUsage(a0).user / 1e6 };
  };
  await timed(now);
  await timed(old);
  const b = await timed(now),
    a = await timed(old);
  let worst = 0,
    chosen = 0,
    n2 = 0;
  for (let c = 0; c < 3; c++)
    for (let i = 0; i < a.out[c].length; i++) worst = Math.max(worst, Math.abs(a.out[c][i] - b.out[c][i]));
  const x = await now.applyFits(guide, a.choice, films);
  let w2 = 0;
  for (let c = 0; c < 3; c++)
    for (let i = 0; i < a.out[c].length; i++) w2 = Math.max(w2, Math.abs(a.out[c][i] - x[c][i]));
  for (let c = 0; c < 5; c++)
    for (let i = 0; i < a.choice[c].length; i++)
      if (Math.abs(a.choice[c][i] - b.choice[c][i]) > 1e-3) chosen++;
  console.log(
    name,
    'old',
    a.choose.toFixed(2),
    a.apply.toFixed(2),
    'new',
    b.choose.toFixed(2),
    b.apply.toFixed(2),
    'worst',
    worst,
    'same choice worst',
    w2,
    'choice differs',
    chosen,
    'of',
    5 * a.choice[0].length,
  );
}
