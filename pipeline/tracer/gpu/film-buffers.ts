/** Buffers and programs of a film on the card, in batches of planes as large as its bindings let them be. */
import type { FilmState } from '../film-state.ts';
import { TILE } from '../film-state.ts';
import { type Gpu, GpuRefusal } from './device.ts';
import type { GpuScene } from './gpu-scene.ts';
import { featuresProgram, foldProgram, program, traceProgram } from './programs.ts';
import { type BatchPlanes, JOB_FIELDS, partBytes } from './shader/film.ts';

/** bytes of the parts that wait for folding: enough to keep a card busy */
const PARTS_BYTES = 384 << 20;
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
  rows: GPUBuffer;
}

export interface Buffers {
  tiles: GPUBuffer;
  parts: GPUBuffer;
  /** what pixels show, a byte each */
  shows: GPUBuffer;
  job: GPUBuffer;
  /** samples of the submission that have been taken */
  taken: GPUBuffer;
  films: PlaneBuffers[];
}

/** A program and what it works on. */
export interface Dispatch {
  pipeline: GPUComputePipeline;
  bindings: GPUBindGroup;
}

export interface Batch extends PlaneBuffers {
  trace: Dispatch;
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

export function dropFilm({ tiles, parts, shows, job, taken, films }: Buffers): void {
  for (const { sum, split, rows } of films) for (const b of [sum, split, rows]) b.destroy();
  for (const b of [tiles, parts, shows, job, taken]) b.destroy();
}

function layOut({ device, facts }: Gpu, film: FilmState, colourways: number, planes: number): Buffers {
  const storage = (size: number, extra = 0) =>
    device.createBuffer({
      size: Math.ceil(size / 4) * 4,
      usage: GPUBufferUsage.STORAGE | GPUBufferUsage.COPY_DST | GPUBufferUsage.COPY_SRC | extra,
    });
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
      rows: storage(tiles * TILE * 8 * (to - from)),
    });
  }
  // at least one tile of the longest block, in all planes of a batch, and no more than all tiles of it
  const least = TILE * TILE * LONGEST_BLOCK * Math.max(...films.map((batch) => partBytes(batch.planes)));
  const wanted = facts.software ? PARTS_BYTES_SOFTWARE : PARTS_BYTES;
  return {
    tiles: storage(tiles * 4),
    parts: storage(Math.max(least, Math.min(wanted, least * tiles))),
    shows: storage(pixels),
    job: device.createBuffer({
      size: JOB_FIELDS.length * 4,
      usage: GPUBufferUsage.UNIFORM | GPUBufferUsage.COPY_DST,
    }),
    taken: storage(4),
    films,
  };
}

/** Compiles passes over these buffers. Rejects where the driver refuses. */
export function compileBatches({ device }: Gpu, scene: GpuScene, made: Buffers): Promise<Batch[]> {
  const { tiles, parts, shows, job, taken } = made;
  return Promise.all(
    made.films.map(async (part) => {
      const [trace, fold] = await Promise.all([
        step(device, traceProgram(part.planes, scene.depth), 'trace', {
          ...ofRays(scene, made),
          6: taken,
        }),
        step(device, foldProgram(part.planes), 'fold', {
          3: job,
          4: tiles,
          5: parts,
          6: part.sum,
          7: part.split,
          8: part.rows,
          9: shows,
        }),
      ]);
      return { ...part, trace, fold };
    }),
  );
}

/** Compiles the look at what pixels show. */
export function compileLook({ device }: Gpu, scene: GpuScene, made: Buffers): Promise<Dispatch> {
  return step(device, featuresProgram(scene.depth), 'features', ofRays(scene, made));
}

/** What programs that follow rays are bound to. */
function ofRays({ bytes, single }: GpuScene, { tiles, parts, job }: Buffers) {
  return { 0: bytes, 1: bytes, 2: single, 3: job, 4: tiles, 5: parts };
}

/** @param buffers by their binding */
async function step(
  device: GPUDevice,
  code: string,
  entryPoint: string,
  buffers: Record<number, GPUBuffer>,
): Promise<Dispatch> {
  const pipeline = await program(device, code, entryPoint);
  const bindings = device.createBindGroup({
    layout: pipeline.getBindGroupLayout(0),
    entries: Object.entries(buffers).map(([at, buffer]) => ({ binding: Number(at), resource: { buffer } })),
  });
  return { pipeline, bindings };
}
