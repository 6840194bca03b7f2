/** What a user waits for: one large three-quarter picture in all its colourways, at the demo's noise target. */
import { createTracerSession } from '../../pipeline/tracer/session.ts';
import { demoBand, demoScene } from './demo-band.ts';
import type { Measurement } from './measurement.ts';

export const hero: Measurement = {
  name: 'hero',
  about:
    '800² three-quarter picture of the 39-stone band at the demo’s noise target, all colourways (wall clock)',
  async run({ quick, record, say }) {
    const { plan } = await demoBand();
    const { noise, passCap, seed } = plan.quality;
    const scene = await demoScene(quick ? 200 : 800);
    const session = await createTracerSession();
    try {
      await session.start();
      const start = performance.now();
      const result = await session.trace(scene, { seed, noiseTarget: noise, passCap });
      record(quick ? 'hero_200_s' : 'hero_800_s', (performance.now() - start) / 1000, 's');
      say(
        `${scene.colourways.length} colourways, target ${noise}, reached ${result.error.toFixed(4)}, ${(result.paths / 1e6).toFixed(1)} M paths, at most ${result.passes} a pixel`,
      );
    } finally {
      await session.close();
    }
  },
};
