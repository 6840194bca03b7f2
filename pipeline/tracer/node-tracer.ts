/**
 * The kernel in this very process: no browser, one core, the same films bit for bit. For tests and for measuring the
 * kernel; the catalogue is traced by a session.
 */
import { type FilmPieces, piecesOf, resumeFilm } from './checkpoint.ts';
import { checkpointIdentity } from './checkpoint-inbox.ts';
import { FEATURE_PLANES, featurePlane, spreadRows } from './film-guide.ts';
import { type FilmState, filmState, meanFilm } from './film-state.ts';
import { traceTake } from './film-take.ts';
import { filmPlanes, partPlanes } from './matte.ts';
import { type Kernel, PassShare, scratchFor } from './pass-share.ts';
import { encodeScene } from './scene-blob.ts';
import type { Film, Tracer } from './tracer.ts';

export interface NodeKernel extends Kernel {
  load(scene: Parameters<Tracer['trace']>[0]): void;
}

/** The kernels take turns unit by unit, in the order in which a browser's workers might. */
export function createNodeTracer(kernels: NodeKernel[]): Tracer {
  return {
    async trace(scene, { onProgress = () => {}, onFilm, guide, checkpoints, signal, ...options }) {
      signal?.throwIfAborted();
      const { width, height, colourways } = scene;
      const size = { width, height, colourways: filmPlanes(scene) };
      const identity = checkpoints ? checkpointIdentity(encodeScene(scene), options, 'node') : '';
      const kept = await checkpoints?.load(identity);
      const film = (kept && (await resumeFilm(size, kept, options.passCap))) ?? filmState(size);
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
      const checkpoint = checkpoints && {
        every: checkpoints.every,
        save: () => checkpoints.save(identity, filmPieces(film)),
      };
      const end = await traceTake(film, share, crew, { ...options, every: 250, onProgress, checkpoint });
      signal?.throwIfAborted();
      const films: Film[] = [];
      for (let plane = 0; plane < size.colourways; plane++) {
        const developed = { width, height, data: meanFilm(film, plane) };
        if (onFilm) await onFilm(developed, plane);
        else films.push(developed);
      }
      const { features } = kernels[0];
      if (guide && onFilm && features) {
        const seen = features.call(kernels[0], 0, 0, width, height, options.seed);
        const planes = Array.from({ length: FEATURE_PLANES }, (_, plane) => featurePlane(seen, plane));
        planes.push(spreadRows(film, colourways.length, 0, film.tilesY));
        for (const [i, data] of planes.entries()) await onFilm({ width, height, data }, size.colourways + i);
      }
      return {
        ...partPlanes(films, colourways.length),
        error: end.error,
        passes: end.passes,
        paths: end.paths,
        seconds: end.seconds,
      };
    },
    async close() {},
  };
}

function filmPieces(film: FilmState): FilmPieces {
  return {
    bytes: film.kept.length,
    async *[Symbol.asyncIterator]() {
      yield* piecesOf(film);
    },
  };
}
