/** Grain that is left in pictures of crops, against references of 64 times the paths (`clean-error.ts`). */
import { createNodeTracer } from '../../pipeline/tracer/node-tracer.ts';
import { kernel } from '../tracer/kernel-fixture.ts';
import { cleanErrors, cleanReference } from './clean-error.ts';
import { CLASSES, CLEAN_SCENES, cleanScene, cropKernel, cropScene, type PixelClass } from './clean-scenes.ts';
import type { Measurement } from './measurement.ts';

const PASSES = 16;
const REFERENCE = 64;
const SEED = 1;

export const clean: Measurement = {
  name: 'clean',
  about: `crops of 1500 px pictures at ${PASSES} passes against ${REFERENCE} times as many: mean ΔE2000 by class`,
  async run({ quick, record, say }) {
    const host = await kernel();
    const names = Object.keys(CLEAN_SCENES);
    const sums = Object.fromEntries(
      CLASSES.map((name) => [name, { deltaE: 0, over: 0, blocks: 0, scenes: 0 }]),
    );
    for (const name of quick ? names.slice(0, 1) : names) {
      const scene = await cleanScene(name, host);
      const { planes } = cleanReference(scene, host, PASSES * (quick ? 4 : REFERENCE), say);
      const tracer = createNodeTracer([cropKernel(scene, host)]);
      const { films } = await tracer.trace(cropScene(scene), { seed: SEED, noiseTarget: 0, passCap: PASSES });
      const errors = cleanErrors(
        films.map((f) => f.data),
        planes,
        scene.classes,
      );
      const told = CLASSES.filter((k) => errors[k].pixels > 0).map((k) => `${k} ${describe(errors[k])}`);
      say(`${name}: ${told.join(', ')}; SSIM ${errors.ssim.toFixed(4)}`);
      for (const k of CLASSES.filter((c) => errors[c].pixels > 0)) {
        for (const part of ['deltaE', 'over', 'blocks'] as const) sums[k][part] += errors[k][part];
        sums[k].scenes++;
      }
    }
    for (const k of CLASSES) {
      const { deltaE, over, blocks, scenes } = sums[k as PixelClass];
      record(`clean_deltaE_${k}`, deltaE / scenes, 'CIEDE2000, mean of scenes');
      record(`clean_over_${k}`, over / scenes, 'of pixels over 5');
      record(`clean_blocks_${k}`, blocks / scenes, 'CIEDE2000 of 16-pixel blocks');
    }
  },
};

const describe = ({ deltaE, over, blocks }: { deltaE: number; over: number; blocks: number }) =>
  `ΔE ${deltaE.toFixed(2)} (${(1000 * over).toFixed(1)} ‰ over 5, blocks ${blocks.toFixed(2)})`;
