/** raw and filtered films at n passes against soft-tent's reference, and what tiles' estimates say */
import { readFileSync } from 'node:fs';
import { seenSquare } from '../../pipeline/tracer/film-error.ts';
import * as now from '../../pipeline/tracer/film-filter.ts';
import { GUIDE_PLANES, guideOf } from '../../pipeline/tracer/film-guide.ts';
import { filterModule } from '../../pipeline/tracer/filter-module.ts';
import { kernel } from '../tracer/kernel-fixture.ts';
import { cleanErrors, cleanReference } from './clean-error.ts';
import { cleanScene } from './clean-scenes.ts';

const sums = await filterModule();
const D = '/work/scratch-clean/data';
const read = (f: string) => {
  const b = readFileSync(f);
  return new Float32Array(b.buffer.slice(b.byteOffset, b.byteOffset + b.length));
};
const host = await kernel();
for (const name of process.argv[2].split(',')) {
  const scene = await cleanScene(name, host);
  const ref = cleanReference(scene, host, Number(process.argv[3] ?? 512));
  const rr = cleanErrors(ref.halves[0], ref.halves[1], scene.classes);
  const show = (w: string, e: any) =>
    console.log(
      name,
      w,
      ...['ground', 'metal', 'stone'].map((k) =>
        e[k].pixels
          ? `${k} ΔE ${e[k].deltaE.toFixed(2)} ${(1000 * e[k].over).toFixed(1)}‰ blocks ${e[k].blocks.toFixed(2)};`
          : '',
      ),
      'ssim',
      e.ssim.toFixed(4),
    );
  show('ref halves', rr);
  for (const n of [16, 64]) {
    const { planes, colourways } = JSON.parse(readFileSync(`${D}/${name}-${n}.json`, 'utf8'));
    const all = Array.from({ length: planes }, (_, i) => read(`${D}/${name}-${n}-${i}`));
    const films = all.slice(0, colourways);
    const mean = films[0].map((_, i) => films.reduce((s, f) => s + f[i], 0) / films.length);
    const guide = guideOf(
      all.slice(-GUIDE_PLANES).map((data) => ({ width: 192, height: 192, data })),
      mean,
    );
    const choice = await now.chooseFits(guide, sums);
    const out = await now.applyFits(guide, sums, choice, films);
    show(`${n} raw`, cleanErrors(films, ref.planes, scene.classes));
    show(`${n} filtered`, cleanErrors(out, ref.planes, scene.classes));
    // where the misses of filtered are: by feature stone share within 3 px
    const { features } = guide;
    // estimate rms of raw over tiles, of pixels without stone and with
    const t = [0, 0, 0, 0];
    for (let p = 0; p < 36864; p++) {
      const s = features[p * 12 + 2] > 0 ? 1 : 0;
      const sp = guide.spread;
      t[s * 2] +=
        seenSquare(mean[3 * p], mean[3 * p + 1], mean[3 * p + 2], sp[3 * p], sp[3 * p + 1], sp[3 * p + 2]) *
        0.2821 ** 2;
      t[s * 2 + 1]++;
    }
    console.log(
      name,
      n,
      'estimated rms ΔE open',
      Math.sqrt(t[0] / t[1]).toFixed(2),
      'stone',
      Math.sqrt(t[2] / Math.max(1, t[3])).toFixed(2),
      'stone px',
      t[3],
    );
  }
}
