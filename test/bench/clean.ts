/**
 * Grain that is left in pictures of crops, against references of many times the paths (`clean-error.ts`).
 *
 * Six scenes at references of 512 passes, tiles judged from 16 samples on; mean ΔE2000 and pixels over 5 in a thousand:
 *
 *                     passes   ground      metal       stones
 *     polished            16   0.05  0     0.13  0.1
 *     blasted             16   0.05  0     0.34  0
 *     soft-tent           30   0.05  0     0.20  0     1.12  0.3
 *     coloured-stones     27               0.36  0.1   0.80  2.5
 *     black-stones        54               0.28  0.0   0.64  1.5
 *     pin-lights         137   0.05  0     0.60  4.9   2.87  142
 *
 * That was with pin lights of 22 mm: stones ran into the pass cap, and their reference was as noisy (both of its halves were
 * 160 in a thousand apart by more than 5), since paths find such lamps through stones by chance alone. With 48 mm and as much
 * light in all it took 122 passes: ground 0.02 and none, metal 0.46 and 1.0, stones 2.03 and 52 (halves of the reference 79
 * apart). They are 60 mm since, and stones count more: 214 passes, metal 0.38 and 0.4, stones 1.8 and 33 against a reference of
 * 256 passes, which is noisier than the film (its halves are 147 in a thousand apart).
 *
 * Stones count more in the stop rule than in the table (`COUNTS`). As it is now, raw: coloured-stones 38 passes, stones 0.58 and 0.3; black-stones
 * 86 passes, stones 0.53 and 0.7.
 *
 * Metal between many stones came out of the filter slightly worse than it went in (coloured-stones: raw 0.32, by blocks 0.07 →
 * 0.11): the error of a fit is averaged over more pixels than a claw is wide. Smooth metal beside edges is judged by itself
 * since (`kind-mean.ts`): at the demo's flat lay at 540 px and 7 % metal's mean went from 0.67 to 0.64.
 */
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
