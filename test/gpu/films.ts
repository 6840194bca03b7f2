/** Films of both engines from one scene, in one process; runs in pages and in Node. */
import type { TraceScene } from '../../pipeline/scene/trace-scene.ts';
import { type FilmState, filmState } from '../../pipeline/tracer/film-state.ts';
import { traceTake } from '../../pipeline/tracer/film-take.ts';
import { CardShare } from '../../pipeline/tracer/gpu/card-share.ts';
import type { Gpu } from '../../pipeline/tracer/gpu/device.ts';
import { GpuCrew } from '../../pipeline/tracer/gpu/gpu-crew.ts';
import { FEATURES } from '../../pipeline/tracer/kernel/layout.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { filmPlanes } from '../../pipeline/tracer/matte.ts';
import { PassShare, scratchFor } from '../../pipeline/tracer/pass-share.ts';
import type { TraceProgress } from '../../pipeline/tracer/tracer.ts';

export interface Wanted {
  seed: number;
  passCap: number;
  noiseTarget?: number;
  filtered?: boolean;
}

export interface Traced {
  film: FilmState;
  end: TraceProgress;
}

const still = { every: 1e6, onProgress() {}, noiseTarget: 0 };

const filmFor = (scene: TraceScene) =>
  filmState({ width: scene.width, height: scene.height, colourways: filmPlanes(scene) });

/** By the kernel, which has loaded the scene. */
export async function byKernel(host: KernelHost, scene: TraceScene, wanted: Wanted): Promise<Traced> {
  const film = filmFor(scene);
  const share = new PassShare(film);
  const scratch = scratchFor(film);
  const crew = {
    workers: 1,
    work: async (pass: Parameters<PassShare['work']>[2]) => share.work(film, host, pass, scratch),
  };
  return { film, end: await traceTake(film, share, crew, { ...still, ...wanted }) };
}

/** By the card, from what the kernel has loaded, with features if the film is to be filtered; times in ms. */
export async function byCard(gpu: Gpu, host: KernelHost, scene: TraceScene, wanted: Wanted) {
  const film = filmFor(scene);
  const share = new CardShare(film);
  const begun = performance.now();
  const crew = await GpuCrew.engage(gpu, host.image(), film, share, wanted.filtered);
  await gpu.device.queue.onSubmittedWorkDone();
  const engaged = performance.now();
  const end = await traceTake(film, share, crew, { ...still, ...wanted });
  const traced = performance.now();
  await crew.fetch();
  const fetched = performance.now();
  const { use } = crew;
  const features = wanted.filtered ? await crew.look(wanted.seed) : undefined;
  const looked = performance.now() - fetched;
  crew.dismiss();
  return {
    film,
    end,
    features,
    look: looked,
    engage: engaged - begun,
    trace: traced - engaged,
    fetch: fetched - traced,
    ...use,
  };
}

/** Root mean square difference of two films' pixel means, over the second's root mean square. */
export function difference(a: FilmState, b: FilmState): number {
  let squares = 0;
  let all = 0;
  a.sum.forEach((x, i) => {
    squares += (x - b.sum[i]) ** 2;
    all += b.sum[i] ** 2;
  });
  return Math.sqrt(squares / all);
}

/** Share of the pixels whose features differ by more than rounding. */
export function featuresApart(a: Float32Array, b: Float32Array): number {
  const apart = new Set<number>();
  a.forEach((x, i) => {
    if (!(Math.abs(x - b[i]) < 1e-4)) apart.add(Math.floor(i / FEATURES));
  });
  return (apart.size * FEATURES) / a.length;
}

/** Largest difference of the sums of a plane's channel over the whole frame, as a share. */
export function wholeDifference(a: FilmState, b: FilmState): number {
  const size = a.width * a.height * 3;
  let worst = 0;
  for (let c = 0; c < a.colourways; c++)
    for (let k = 0; k < 3; k++) {
      let [x, y] = [0, 0];
      for (let i = c * size + k; i < (c + 1) * size; i += 3) {
        x += a.sum[i];
        y += b.sum[i];
      }
      if (y !== 0) worst = Math.max(worst, Math.abs(x / y - 1));
    }
  return worst;
}

/** Mean of each tile of so many pixels: tile, plane, channel. Every pixel has as many samples as the first tile. */
export function tileMeans({ width, height, colourways, sum, samples }: FilmState, tile = 16): Float64Array {
  const across = Math.ceil(width / tile);
  const down = Math.ceil(height / tile);
  const out = new Float64Array(across * down * colourways * 3);
  const counts = new Float64Array(across * down);
  const of = (x: number, y: number) => Math.floor(y / tile) * across + Math.floor(x / tile);
  for (let y = 0; y < height; y++) for (let x = 0; x < width; x++) counts[of(x, y)]++;
  for (let c = 0; c < colourways; c++)
    for (let y = 0; y < height; y++)
      for (let x = 0; x < width; x++)
        for (let k = 0; k < 3; k++)
          out[(of(x, y) * colourways + c) * 3 + k] +=
            sum[((c * height + y) * width + x) * 3 + k] / (samples[0] * counts[of(x, y)]);
  return out;
}
