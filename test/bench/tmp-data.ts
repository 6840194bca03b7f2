import { existsSync, mkdirSync, writeFileSync } from 'node:fs';
import { createNodeTracer } from '../../pipeline/tracer/node-tracer.ts';
import { kernel } from '../tracer/kernel-fixture.ts';
import { cleanReference } from './clean-error.ts';
import { CLEAN_SCENES, cleanScene, cropKernel, cropScene } from './clean-scenes.ts';

const D = '/work/scratch-clean/data';
mkdirSync(D, { recursive: true });
const host = await kernel();
const start = performance.now();
const wanted = process.argv[2]?.split(',') ?? Object.keys(CLEAN_SCENES);
const passes = (process.argv[3] ?? '16,64').split(',').map(Number);
for (const name of wanted) {
  const scene = await cleanScene(name, host);
  writeFileSync(`${D}/${name}.classes`, scene.classes);
  for (const n of passes) {
    const tracer = createNodeTracer([cropKernel(scene, host)]);
    const t = performance.now();
    const planes: Float32Array[] = [];
    await tracer.trace(cropScene(scene.scene ? scene : scene), {
      seed: 1,
      noiseTarget: 0,
      passCap: n,
      guide: true,
      onFilm: async (f, p) => {
        planes[p] = f.data.slice();
      },
    });
    const s = (performance.now() - t) / 1000;
    console.log(
      name,
      scene.x,
      scene.y,
      n,
      `${scene.scene.colourways.length} colourways`,
      `${((192 * 192 * n) / s / 1e6).toFixed(3)} M paths/s`,
    );
    for (const [i, p] of planes.entries()) writeFileSync(`${D}/${name}-${n}-${i}`, new Uint8Array(p.buffer));
    writeFileSync(
      `${D}/${name}-${n}.json`,
      JSON.stringify({ planes: planes.length, colourways: scene.scene.colourways.length }),
    );
  }
}
