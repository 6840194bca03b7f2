/** Buffers and programs of a film on the card, in batches of planes as large as its bindings let them be. */
import type { FilmState } from '../film-state.ts';
import { TILE } from '../film-state.ts';
import { type Gpu, GpuRefusal, storageBuffer } from './device.ts';
import { type GpuScene, sceneBindings } from './gpu-scene.ts';
import { LONGEST_RUN } from './pass-jobs.ts';
import { bindPaths, compilePaths, dropSlots, layOutSlots, type PathPrograms, type Slots } from './paths.ts';
import { bound, type Dispatch, featuresProgram, foldProgram, program } from './programs.ts';
import { type BatchPlanes, JOB_BYTES, PORTIONS, partBytes } from './shader/film.ts';

/** bytes of light that waits for folding: room for many runs, since a card has little to do while the last are followed */
const PARTS_BYTES = 768 << 20;
const PARTS_BYTES_SOFTWARE = 16 << 20;

/** most samples of a pass: see nextBlock */
const LONGEST_BLOCK = 64;

interface PlaneBuffers {
  /** planes from, up to */
  from: number;
  to: number;
  planes: BatchPlanes;
  sum: GPUBuffer;
  split: GPUBuffer;
  noise: GPUBuffer;
}

export interface Buffers {
  tiles: GPUBuffer;
  parts: GPUBuffer;
  /** what pixels show, a byte each */
  shows: GPUBuffer;
  job: GPUBuffer;
  slots: Slots;
  films: PlaneBuffers[];
}

export interface Batch extends PlaneBuffers {
  paths: PathPrograms;
  fold: Dispatch;
}

/**
 * Throws a GpuRefusal where the card has no room for a single plane.
 * @param colourways of the film; its matte comes after them
 */
export async function layOutFilm(gpu: Gpu, film: FilmState, colourways: number): Promise<Buffers> {
  const largest = Math.floor(gpu.binding / (film.width * film.height * 12));
  if (largest < 1)
    throw new GpuRefusal('too-large', `no plane of ${film.width}×${film.height} fits the card`);
  for (let planes = Math.min(largest, film.colourways); ; planes = planes >> 1) {
    const made = await attempt(gpu, () => layOut(gpu, film, colourways, planes));
    if (made) return made;
    if (planes <= 1) throw new GpuRefusal('out-of-memory', 'the card has no memory left for a film');
  }
}

/** What `make` makes, unless the card has no memory for it; what it made is given back then. */
async function attempt({ device }: Gpu, make: () => Buffers): Promise<Buffers | undefined> {
  device.pushErrorScope('out-of-memory');
  device.pushErrorScope('validation');
  const made = make();
  const errors = [await device.popErrorScope(), await device.popErrorScope()];
  if (!errors.some(Boolean)) return made;
  dropFilm(made);
  return undefined;
}

export function dropFilm({ tiles, parts, shows, job, slots, films }: Buffers): void {
  for (const { sum, split, noise } of films) for (const b of [sum, split, noise]) b.destroy();
  for (const b of [tiles, parts, shows, job]) b.destroy();
  dropSlots(slots);
}

function layOut(gpu: Gpu, film: FilmState, colourways: number, planes: number): Buffers {
  const { device, facts } = gpu;
  const storage = (size: number) => storageBuffer(device, size);
  const pixels = film.width * film.height;
  const tiles = film.samples.length;
  const films: Buffers['films'] = [];
  for (let from = 0; from < film.colourways; from += planes) {
    const to = Math.min(from + planes, film.colourways);
    films.push({
      from,
      to,
      planes: { colourways: Math.min(to, colourways) - from, matte: to > colourways },
      sum: storage(pixels * 12 * (to - from)),
      split: storage(pixels * 4 * (to - from)),
      noise: storage(tiles * 8 * (to - from)),
    });
  }
  // at least for a tile of the longest block in each portion, in all planes of a batch, and for no more than all its tiles in
  // long runs twice
  const block = TILE * TILE * LONGEST_BLOCK * Math.max(...films.map((batch) => partBytes(batch.planes)));
  const wanted = facts.software ? PARTS_BYTES_SOFTWARE : PARTS_BYTES;
  return {
    tiles: storage(tiles * 4),
    parts: storage(Math.max(PORTIONS * block, Math.min(wanted, (2 * tiles * block) / LONGEST_RUN))),
    shows: storage(pixels),
    job: device.createBuffer({
      size: JOB_BYTES,
      usage: GPUBufferUsage.UNIFORM | GPUBufferUsage.COPY_DST,
    }),
    slots: layOutSlots(gpu, Math.max(...films.map((batch) => batch.planes.colourways))),
    films,
  };
}

/** Compiles passes over these buffers. Rejects where the driver refuses. */
export function compileBatches({ device }: Gpu, scene: GpuScene, made: Buffers): Promise<Batch[]> {
  const { tiles, parts, shows, job } = made;
  return Promise.all(
    made.films.map(async (part) => {
      const [paths, fold] = await Promise.all([
        compilePaths(device, scene, part.planes),
        program(device, foldProgram(part.planes), 'fold'),
      ]);
      return {
        ...part,
        paths: bindPaths(device, paths, scene, made),
        fold: bound(device, fold, {
          3: job,
          4: tiles,
          5: parts,
          6: part.sum,
          7: part.split,
          8: part.noise,
          9: shows,
        }),
      };
    }),
  );
}

/** Compiles the look at what pixels show. */
export async function compileLook({ device }: Gpu, scene: GpuScene, made: Buffers): Promise<Dispatch> {
  const { tiles, parts, job } = made;
  const look = await program(device, featuresProgram(scene), 'features');
  return bound(device, look, { ...sceneBindings(scene), 3: job, 4: tiles, 5: parts });
}
