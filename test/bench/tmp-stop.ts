import { writeFileSync } from 'node:fs';
import * as now from '../../pipeline/tracer/film-filter.ts';
import { GUIDE_PLANES, guideOf } from '../../pipeline/tracer/film-guide.ts';
import { filterModule } from '../../pipeline/tracer/filter-module.ts';
import { createNodeTracer } from '../../pipeline/tracer/node-tracer.ts';
import { cleanErrors, cleanReference } from './clean-error.ts';
import { cleanScene, cropKernel, cropScene } from './clean-scenes.ts';
import { kernel } from '../tracer/kernel-fixture.ts';
const sums = await filterModule();
const host = await kernel();
for (const name of process.argv[2].split(',')) {
  const scene = await cleanScene(name, host);
  const ref = cleanReference(scene, host, Number(process.argv[3]));
  for (const [noise, filtered] of [[0.04, true]] as const) {
    const planes: any[] = [];
    const t = process.cpuUsage();
    const r = await createNodeTracer([cropKernel(scene, host)]).trace(cropScene(scene), { seed: 1, noiseTarget: noise, passCap: 1024, filtered, guide: true, onFilm: async (f, p) => { planes[p] = { ...f, data: f.data.slice() }; } });
    const films = planes.slice(0, -GUIDE_PLANES).map((p) => p.data).slice(0, scene.scene.colourways.length);
    const mean = films[0].map((_: number, i: number) => films.reduce((s: number, f: any) => s + f[i], 0) / films.length);
    const guide = guideOf(planes.slice(-GUIDE_PLANES), mean);
    const out = await now.applyFits(guide, sums, await now.chooseFits(guide, sums), films);
    const show = (w: string, e: any) => console.log(name, w, ...['ground', 'metal', 'stone'].map((k) => e[k].pixels ? `${k} ΔE ${e[k].deltaE.toFixed(2)} ${(1000 * e[k].over).toFixed(1)}‰ blocks ${e[k].blocks.toFixed(2)};` : ''), 'ssim', e.ssim.toFixed(4));
    console.log(name, filtered, 'passes a pixel', (r.paths / 36864).toFixed(0), 'most', r.passes, 'error', r.error.toFixed(4), 'cpu', (process.cpuUsage(t).user / 1e6).toFixed(1));
    show(`${filtered} raw`, cleanErrors(films, ref.planes, scene.classes));
    show(`${filtered} shown`, cleanErrors(out, ref.planes, scene.classes));
  }
}
