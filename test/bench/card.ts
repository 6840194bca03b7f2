/** The graphics card beside two cores, by Dawn for Node where it is installed. */
import { configSchema } from '../../pipeline/plan/config-schema.ts';
import { dawn } from '../../pipeline/tracer/gpu/dawn.ts';
import { openGpu } from '../../pipeline/tracer/gpu/device.ts';
import { createTracerSession } from '../../pipeline/tracer/session.ts';
import { cardFigures } from '../gpu/figures.ts';
import { kernel } from '../tracer/kernel-fixture.ts';
import { demoScene } from './demo-band.ts';
import type { Measurement } from './measurement.ts';
import { pathsPerSecond } from './session-speed.ts';

export const card: Measurement = {
  name: 'card',
  about:
    'the graphics card beside two cores on the demo band, rays, colourways, a clean 1500² picture at the noise that configs get by default',
  async run({ quick, record, say }) {
    const host = await dawn();
    if (!host) return say('skipped: WebGPU for Node is not installed (npm install --no-save webgpu)');
    const gpu = await openGpu(host);
    if (!gpu) return say('skipped: this machine has no graphics card that WebGPU finds');
    if (gpu.facts.software) return say('skipped: the only graphics card is a processor that plays one');
    const session = await createTracerSession({ workers: 2 });
    let cores: number;
    try {
      cores = await pathsPerSecond(session, await demoScene(256, 1), quick ? 16 : 64);
    } finally {
      await session.close();
    }
    // what configs get that ask for none of their own
    const { noise, passes, seed } = configSchema.shape.quality.parse(undefined);
    const quality = { noise, passCap: passes, seed };
    await cardFigures({ gpu, host: await kernel(), scene: demoScene, quality, cores, record, say });
  },
};
