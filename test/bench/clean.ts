/** Grain that is left in pictures of crops, against references of 64 times the paths (`clean-error.ts`). */
import { applyFits, chooseFits, oneHand } from '../../pipeline/tracer/film-filter.ts';
import { GUIDE_PLANES, guideOf } from '../../pipeline/tracer/film-guide.ts';
import { filterModule } from '../../pipeline/tracer/filter-module.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { createNodeTracer } from '../../pipeline/tracer/node-tracer.ts';
import type { Film } from '../../pipeline/tracer/tracer.ts';
import { WindowFits } from '../../pipeline/tracer/window-fits.ts';
import { kernel } from '../tracer/kernel-fixture.ts';
import { cleanErrors, cleanReference, type Planes } from './clean-error.ts';
import {
  CLASSES,
  CLEAN_SCENES,
  type CleanScene,
  CROP,
  cleanScene,
  cropKernel,
  cropScene,
  type PixelClass,
} from './clean-scenes.ts';
import type { Measurement } from './measurement.ts';

/** as configs have it unless they say otherwise; all films of a scene stop by the same rule as in a catalogue */
const NOISE = 0.04;
const CAP = 1024;
const REFERENCE = 1024;
const SEED = 1;

export const clean: Measurement = {
  name: 'clean',
  about: `crops of 1500 px pictures as a catalogue shows them, against ${REFERENCE} passes: mean ΔE2000 by class`,
  async run({ quick, record, say }) {
    const host = await kernel();
    const names = Object.keys(CLEAN_SCENES);
    const sums = Object.fromEntries(
      CLASSES.map((name) => [name, { deltaE: 0, over: 0, blocks: 0, scenes: 0 }]),
    );
    for (const name of quick ? names.slice(0, 1) : names) {
      const scene = await cleanScene(name, host);
      const { planes } = cleanReference(scene, host, quick ? 64 : REFERENCE, say);
      const raw = await traced(scene, host, quick ? 16 : CAP);
      say(`${name}: ${raw.passes.toFixed(0)} passes a pixel, at most ${raw.most}`);
      const films = await filtered(raw.films, raw.guide);
      const before = cleanErrors(raw.films, planes, scene.classes);
      const errors = cleanErrors(films, planes, scene.classes);
      for (const [what, e] of [
        ['raw', before],
        ['filtered', errors],
      ] as const) {
        const told = CLASSES.filter((k) => e[k].pixels > 0).map((k) => `${k} ${describe(e[k])}`);
        say(`${name}, ${what}: ${told.join(', ')}; SSIM ${e.ssim.toFixed(4)}`);
      }
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

/** Films of a crop and what the filter needs, as a take hands them over. */
async function traced(scene: CleanScene, host: KernelHost, passCap: number) {
  const planes: Film[] = [];
  const tracer = createNodeTracer([cropKernel(scene, host)]);
  const { paths, passes: most } = await tracer.trace(cropScene(scene), {
    seed: SEED,
    noiseTarget: NOISE,
    passCap,
    filtered: true,
    guide: true,
    onFilm: async (film, plane) => {
      planes[plane] = film;
    },
  });
  const colourways = scene.scene.colourways.length;
  const films: Planes = planes.slice(0, colourways).map((f) => f.data);
  return { films, guide: planes.slice(-GUIDE_PLANES), passes: paths / CROP ** 2, most };
}

async function filtered(films: Planes, planes: readonly Film[]): Promise<Planes> {
  const mean = films[0].map((_, i) => films.reduce((sum, film) => sum + film[i], 0) / films.length);
  const guide = guideOf(planes, mean);
  const hand = oneHand(await WindowFits.create(await filterModule()));
  return applyFits(guide, hand, await chooseFits(guide, hand), films);
}

const describe = ({ deltaE, over, blocks }: { deltaE: number; over: number; blocks: number }) =>
  `ΔE ${deltaE.toFixed(2)} (${(1000 * over).toFixed(1)} ‰ over 5, blocks ${blocks.toFixed(2)})`;
