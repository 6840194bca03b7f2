/** What it costs to trace more colourways along the same paths: 1, 4, 16 and 32 of them on the demo's band. */
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { kernel } from '../tracer/kernel-fixture.ts';
import { demoScene } from './demo-band.ts';
import { cpuSeconds, inTurns, type Measurement } from './measurement.ts';

const SIDE = 128;

export const colourwaysCost: Measurement = {
  name: 'colourways',
  about: 'time for 1, 4, 16, 32 colourways of one take, in units of one',
  async run({ quick, record }) {
    const samples = quick ? 2 : 8;
    const rivals: Record<string, () => number> = {};
    for (const n of [1, 4, 16, 32]) {
      const host = await kernel();
      host.load(await demoScene(SIDE, n));
      rivals[n] = () => cpuSeconds(() => renderFrame(host, SIDE, 0, samples));
    }
    const times = await inTurns(quick ? 1 : 5, rivals);
    record('kernel_paths_per_second', (SIDE * SIDE * samples) / times[1], 'per core, one colourway');
    for (const n of [4, 16, 32]) record(`colourways_${n}_cost`, times[n] / times[1]);
  },
};

/** Sums of samples [from, to) over a square frame, all colourways. */
export function renderFrame(
  host: KernelHost,
  side: number,
  from: number,
  to: number,
  seed = 1,
): Float32Array {
  const rgb = new Float32Array(side * side * 3 * host.colourways);
  host.render(0, 0, side, side, from, to, seed, rgb);
  return rgb;
}
