/**
 * The kernel in this very process: no browser, one core, the same films bit for bit. For tests and for measuring the
 * kernel; the catalogue is traced by a session.
 */
import { developFilm, filmState } from './film-state.ts';
import { traceTake } from './film-take.ts';
import { filmPlanes, partPlanes } from './matte.ts';
import { type Kernel, PassShare, scratchFor } from './pass-share.ts';
import type { Tracer } from './tracer.ts';

export interface NodeKernel extends Kernel {
  load(scene: Parameters<Tracer['trace']>[0]): void;
}

/** The kernels take turns unit by unit, in the order in which a browser's workers might. */
export function createNodeTracer(kernels: NodeKernel[]): Tracer {
  return {
    async trace(scene, { onProgress = () => {}, signal, ...options }) {
      signal?.throwIfAborted();
      const { width, height, colourways } = scene;
      const planes = filmPlanes(scene);
      const film = filmState({ width, height, colourways: planes });
      const share = new PassShare(film);
      const scratch = scratchFor(film);
      for (const kernel of kernels) kernel.load(scene);
      const work: Parameters<typeof traceTake>[2]['work'] = async (pass) => {
        for (let i = 0; share.workOne(film, kernels[i % kernels.length], pass, scratch); i++) {
          // Lets timers and the signal in.
          await new Promise(setImmediate);
          if (signal?.aborted) share.stop();
        }
      };
      const crew = { workers: kernels.length, work };
      const end = await traceTake(film, share, crew, { ...options, every: 250, onProgress });
      signal?.throwIfAborted();
      const all = Array.from({ length: planes }, (_, c) => ({ width, height, data: developFilm(film, c) }));
      return {
        ...partPlanes(all, colourways.length),
        error: end.error,
        passes: end.passes,
        paths: end.paths,
        seconds: end.seconds,
      };
    },
    async close() {},
  };
}
