/**
 * The film of a take on the card, and the passes over it. Sums stay there until they are wanted: after a pass only the
 * variances of its rows come back, by which the host decides as it does for any engine.
 *
 * Planes are traced in batches. Each batch traces the same paths; it is as large as the card's bindings let it be, since
 * what a batch costs hardly depends on its planes.
 */

import type { FilmState } from '../film-state.ts';
import { TILE } from '../film-state.ts';
import type { Pass } from '../pass-share.ts';
import type { SceneMemory } from '../scene-memory.ts';
import { type Gpu, GpuRefusal } from './device.ts';
import type { GpuScene } from './gpu-scene.ts';
import { foldProgram, program, traceProgram } from './programs.ts';
import { JOB_FIELDS, SLICE } from './shader/film.ts';

/** bytes of the parts that wait for folding: enough to keep a card busy */
const PARTS_BYTES = 192 << 20;
const PARTS_BYTES_SOFTWARE = 16 << 20;
/** ms that one submission should take: short beside what drivers take for a hang, long beside what it costs to begin one */
const SUBMISSION = 60;
const FIRST_PATHS = 1 << 17;
const FIRST_PATHS_SOFTWARE = 1 << 12;
/** submissions on their way */
const IN_FLIGHT = 2;
/** bytes of a piece on its way back */
const PIECE = 64 << 20;

interface BatchBuffers {
  /** planes from, up to */
  from: number;
  to: number;
  sum: GPUBuffer;
  split: GPUBuffer;
  rows: GPUBuffer;
  trace: GPUComputePipeline;
  fold: GPUComputePipeline;
  traceBindings: GPUBindGroup;
  foldBindings: GPUBindGroup;
}

type Job = Record<(typeof JOB_FIELDS)[number], number>;

export class GpuFilm {
  private readonly gpu: Gpu;
  private readonly film: FilmState;
  private readonly tiles: GPUBuffer;
  private readonly parts: GPUBuffer;
  private readonly job: GPUBuffer;
  private readonly batches: BatchBuffers[];
  /** paths that one submission may have */
  private most: number;

  /** Throws a GpuRefusal where the card has no room for a single plane. */
  static async create(gpu: Gpu, scene: GpuScene, memory: SceneMemory, film: FilmState): Promise<GpuFilm> {
    const largest = Math.floor(gpu.binding / (film.width * film.height * 12));
    if (largest < 1)
      throw new GpuRefusal('too-large', `no plane of ${film.width}×${film.height} fits the card`);
    for (let planes = Math.min(largest, film.colourways); ; planes = planes >> 1) {
      const made = await attempt(gpu, () => layOut(gpu, film, planes));
      if (made) return new GpuFilm(gpu, film, made, await compile(gpu, scene, memory, made));
      if (planes <= 1) throw new GpuRefusal('out-of-memory', 'the card has no memory left for a film');
    }
  }

  private constructor(gpu: Gpu, film: FilmState, made: Buffers, batches: BatchBuffers[]) {
    this.gpu = gpu;
    this.most = gpu.facts.software ? FIRST_PATHS_SOFTWARE : FIRST_PATHS;
    this.film = film;
    this.tiles = made.tiles;
    this.parts = made.parts;
    this.job = made.job;
    this.batches = batches;
  }

  /** bytes on the card, the scene left out */
  get bytes(): number {
    const film = this.batches.reduce((all, b) => all + b.sum.size + b.split.size + b.rows.size, 0);
    return film + this.parts.size + this.tiles.size;
  }

  get batchCount(): number {
    return this.batches.length;
  }

  /** Puts what the host's film holds onto the card, for a take that goes on. */
  put(): void {
    const { queue } = this.gpu.device;
    const { sum, split } = this.film;
    const pixels = this.film.width * this.film.height;
    for (const batch of this.batches) {
      const sums = sum.slice(batch.from * pixels * 3, batch.to * pixels * 3);
      queue.writeBuffer(batch.sum, 0, sums);
      queue.writeBuffer(batch.split, 0, split.slice(batch.from * pixels * 4, batch.to * pixels * 4));
    }
  }

  /** Brings sums and differences back into the host's film. */
  async fetch(): Promise<void> {
    const { sum, split } = this.film;
    const pixels = this.film.width * this.film.height;
    const sums = new Uint8Array(sum.buffer, sum.byteOffset, sum.byteLength);
    const splits = new Uint8Array(split.buffer, split.byteOffset, split.byteLength);
    for (const batch of this.batches) {
      await this.copyOut(batch.sum, sums.subarray(batch.from * pixels * 12, batch.to * pixels * 12));
      await this.copyOut(batch.split, splits.subarray(batch.from * pixels * 4, batch.to * pixels * 4));
    }
  }

  /** Traces one block of samples of these tiles and leaves their variances in the host's film. `stopped` breaks off. */
  async pass(
    pass: Pass,
    tiles: readonly number[],
    stopped: () => boolean,
    onPaths: (n: number) => void,
  ): Promise<void> {
    const { device } = this.gpu;
    device.queue.writeBuffer(this.tiles, 0, new Uint32Array(tiles));
    const { from, middle, to } = pass;
    const slicesA = Math.ceil((middle - from) / SLICE);
    const slices = slicesA + Math.ceil((to - middle) / SLICE);
    const countA = pass.halfSamples + middle - from;
    const { width, height, tilesX } = this.film;
    const flight: Promise<unknown>[] = [];
    for (const batch of this.batches) {
      const room = Math.floor(this.parts.size / (slices * TILE * TILE * 12 * (batch.to - batch.from)));
      for (let first = 0; first < tiles.length && !stopped(); ) {
        const wanted = Math.floor(this.most / (TILE * TILE * (to - from)));
        const count = Math.min(Math.max(1, Math.min(wanted, room)), tiles.length - first);
        const job: Job = {
          seed: pass.seed,
          start: from,
          middle,
          end: to,
          slicesA,
          slices,
          first,
          tiles: count,
          colour: batch.from,
          width,
          height,
          tilesX,
          countA,
          countB: to - countA,
          pad0: 0,
          pad1: 0,
        };
        if (flight.length >= IN_FLIGHT) await flight.shift();
        const begun = performance.now();
        this.submit(batch, job);
        const paths = count * TILE * TILE * (to - from);
        const full = count === Math.min(wanted, room);
        flight.push(
          device.queue.onSubmittedWorkDone().then(() => {
            if (full) this.pace(paths, (performance.now() - begun) / Math.min(IN_FLIGHT, flight.length + 1));
            if (batch === this.batches[0]) onPaths(paths);
          }),
        );
        first += count;
      }
    }
    await Promise.all(flight);
    if (!stopped()) await this.fetchRows(tiles);
  }

  destroy(): void {
    for (const { sum, split, rows } of this.batches) for (const b of [sum, split, rows]) b.destroy();
    for (const b of [this.tiles, this.parts, this.job]) b.destroy();
  }

  private pace(paths: number, ms: number): void {
    const fitting = (paths * SUBMISSION) / Math.max(1, ms);
    this.most = Math.max(1, Math.min(fitting, 4 * Math.max(paths, this.most)));
  }

  private submit(batch: BatchBuffers, job: Job): void {
    const { device } = this.gpu;
    device.queue.writeBuffer(
      this.job,
      0,
      Uint32Array.from(JOB_FIELDS, (name) => job[name]),
    );
    const commands = device.createCommandEncoder();
    const compute = commands.beginComputePass();
    compute.setPipeline(batch.trace);
    compute.setBindGroup(0, batch.traceBindings);
    dispatch(compute, (job.tiles * job.slices * TILE * TILE) / 64);
    compute.setPipeline(batch.fold);
    compute.setBindGroup(0, batch.foldBindings);
    dispatch(compute, job.tiles);
    compute.end();
    device.queue.submit([commands.finish()]);
  }

  private async fetchRows(tiles: readonly number[]): Promise<void> {
    const { rowVariance, colourways } = this.film;
    for (const { from, to, rows } of this.batches) {
      const planes = to - from;
      const bytes = new Uint8Array(tiles.length * TILE * planes * 4);
      await this.copyOut(rows, bytes);
      const found = new Float32Array(bytes.buffer);
      tiles.forEach((tile, i) => {
        for (let y = 0; y < TILE; y++) {
          for (let c = 0; c < planes; c++) {
            const value = found[(i * TILE + y) * planes + c];
            rowVariance[(tile * TILE + y) * colourways + from + c] = value < 1e38 ? value : Infinity;
          }
        }
      });
    }
  }

  private async copyOut(from: GPUBuffer, to: Uint8Array): Promise<void> {
    const { device } = this.gpu;
    const size = Math.min(PIECE, to.byteLength);
    const stage = device.createBuffer({ size, usage: GPUBufferUsage.MAP_READ | GPUBufferUsage.COPY_DST });
    for (let at = 0; at < to.byteLength; at += size) {
      const length = Math.min(size, to.byteLength - at);
      const commands = device.createCommandEncoder();
      commands.copyBufferToBuffer(from, at, stage, 0, length);
      device.queue.submit([commands.finish()]);
      await stage.mapAsync(GPUMapMode.READ, 0, length);
      to.set(new Uint8Array(stage.getMappedRange(0, length)), at);
      stage.unmap();
    }
    stage.destroy();
  }
}

/** Groups in two dimensions, since one holds 65,535. */
function dispatch(compute: GPUComputePassEncoder, groups: number): void {
  const x = Math.min(groups, 32768);
  compute.dispatchWorkgroups(x, Math.ceil(groups / x));
}

interface Buffers {
  tiles: GPUBuffer;
  parts: GPUBuffer;
  job: GPUBuffer;
  films: { from: number; to: number; sum: GPUBuffer; split: GPUBuffer; rows: GPUBuffer }[];
}

/** What `make` makes, unless the card has no memory for it; what it made is given back then. */
async function attempt({ device }: Gpu, make: () => Buffers): Promise<Buffers | undefined> {
  device.pushErrorScope('out-of-memory');
  device.pushErrorScope('validation');
  const made = make();
  const errors = [await device.popErrorScope(), await device.popErrorScope()];
  if (!errors.some(Boolean)) return made;
  for (const b of [made.tiles, made.parts, made.job]) b.destroy();
  for (const { sum, split, rows } of made.films) for (const b of [sum, split, rows]) b.destroy();
  return undefined;
}

function layOut({ device, facts }: Gpu, film: FilmState, planes: number): Buffers {
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
      sum: storage(pixels * 12 * (to - from)),
      split: storage(pixels * 4 * (to - from)),
      rows: storage(tiles * TILE * 4 * (to - from)),
    });
  }
  // at least one tile of the longest block, in all planes of a batch
  const least = TILE * TILE * 12 * planes * (64 / SLICE);
  return {
    tiles: storage(tiles * 4),
    parts: storage(Math.max(least, facts.software ? PARTS_BYTES_SOFTWARE : PARTS_BYTES)),
    job: device.createBuffer({
      size: JOB_FIELDS.length * 4,
      usage: GPUBufferUsage.UNIFORM | GPUBufferUsage.COPY_DST,
    }),
    films,
  };
}

async function compile(
  gpu: Gpu,
  scene: GpuScene,
  memory: SceneMemory,
  made: Buffers,
): Promise<BatchBuffers[]> {
  const { device } = gpu;
  const bind = (of: GPUComputePipeline, buffers: Record<number, GPUBuffer>) =>
    device.createBindGroup({
      layout: of.getBindGroupLayout(0),
      entries: Object.entries(buffers).map(([at, buffer]) => ({
        binding: Number(at),
        resource: { buffer },
      })),
    });
  return Promise.all(
    made.films.map(async (part) => {
      const matte = part.to > memory.colourways;
      const planes = part.to - part.from;
      const colourways = matte ? planes - 1 : planes;
      const [trace, fold] = await Promise.all([
        program(device, traceProgram({ colourways, matte }, scene.depth), 'trace'),
        program(device, foldProgram(planes), 'fold'),
      ]);
      const { bytes, single } = scene;
      const { tiles, parts, job } = made;
      return {
        ...part,
        trace,
        fold,
        traceBindings: bind(trace, { 0: bytes, 1: bytes, 2: single, 3: job, 4: tiles, 5: parts }),
        foldBindings: bind(fold, { 3: job, 4: tiles, 5: parts, 6: part.sum, 7: part.split, 8: part.rows }),
      };
    }),
  );
}
