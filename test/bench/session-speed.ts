/** Paths per second and time to the first picture through the browser session that traces catalogues. */
import type { TraceScene } from '../../pipeline/scene/trace-scene.ts';
import { createTracerSession, type TracerSession } from '../../pipeline/tracer/session.ts';
import { demoScene } from './demo-band.ts';
import { type Measurement, median } from './measurement.ts';

export const sessionSpeed: Measurement = {
  name: 'session',
  about:
    'the browser session on the demo band: paths per second, time to the first pass (wall clock, all cores)',
  async run({ quick, record, say }) {
    const session = await createTracerSession({ every: 10 });
    try {
      const { version } = await session.start();
      say(version);
      const rounds = quick ? 1 : 3;
      const scene = await demoScene(256, 1);
      const speeds: number[] = [];
      for (let i = 0; i < rounds; i++) speeds.push(await pathsPerSecond(session, scene, quick ? 16 : 64));
      record('paths_per_second', median(speeds), 'at 256², one colourway');
      const large = await demoScene(800, 4);
      const firsts = { small: [] as number[], large: [] as number[] };
      for (let i = 0; i < rounds; i++) {
        firsts.small.push(await firstPass(session, scene));
        firsts.large.push(await firstPass(session, large));
      }
      const what = 's from the call to 4 samples everywhere,';
      record('first_pass_s', median(firsts.small), `${what} 256², one colourway`);
      record('first_pass_800_s', median(firsts.large), `${what} 800², 4 colourways`);
    } finally {
      await session.close();
    }
  },
};

export async function pathsPerSecond(
  session: TracerSession,
  scene: TraceScene,
  samples: number,
): Promise<number> {
  const { paths, seconds } = await session.trace(scene, { seed: 1, noiseTarget: 0, passCap: samples });
  return paths / seconds;
}

async function firstPass(session: TracerSession, scene: TraceScene): Promise<number> {
  const stop = new AbortController();
  const start = performance.now();
  let first = 0;
  const onProgress = ({ passes }: { passes: number }) => {
    if (first > 0 || passes < 4) return;
    first = (performance.now() - start) / 1000;
    stop.abort();
  };
  await session
    .trace(scene, { seed: 1, noiseTarget: 0, passCap: 64, signal: stop.signal, onProgress })
    .catch((error) => {
      if (error.name !== 'AbortError') throw error;
    });
  return first;
}
