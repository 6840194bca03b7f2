/**
 * The film of a take on the card, and the passes over it. Sums stay there until they are wanted: after a pass only the
 * variances of its tiles come back, by which the host decides as it does for any engine.
 *
 * Planes are traced in batches. Each batch traces the same paths; it is as large as the card's bindings let it be, since
 * what a batch costs hardly depends on its planes.
 */

import { noteSeen } from '../film-error.ts';
import { type FilmState, TILE, tileRect } from '../film-state.ts';
import { FEATURES } from '../kernel/layout.ts';
import type { Pass } from '../pass-share.ts';
import type { SceneMemory } from '../scene-memory.ts';
import { copyOut } from './copy-out.ts';
import type { Gpu } from './device.ts';
import {
  type Batch,
  type Buffers,
  compileBatches,
  compileLook,
  dropFilm,
  layOutFilm,
} from './film-buffers.ts';
import type { GpuScene } from './gpu-scene.ts';
import { type PassJob, planJobs } from './pass-jobs.ts';
import { PathRun, type Work } from './path-run.ts';
import { type Dispatch, dispatch } from './programs.ts';
import { type Job, jobWords, PORTIONS, type Portion, partBytes, partsOf } from './shader/film.ts';
import { MOST_RUNS } from './shader/slots.ts';

/** tiles whose features one submission asks for */
const LOOKED_AT = 2048;
const LOOKED_AT_SOFTWARE = 64;

export class GpuFilm {
  private readonly gpu: Gpu;
  private film: FilmState;
  private readonly buffers: Buffers;
  private readonly batches: Batch[];
  /** compiled when it is first wanted, or beforehand */
  private looking: Dispatch | undefined;
  private readonly scene: GpuScene;
  /** the card holds what `film` does */
  private taken = false;
  private readonly run: PathRun;

  /**
   * Throws a GpuRefusal where the card has no room for a single plane.
   * @param looks what pixels show will be asked for
   */
  static async create(
    gpu: Gpu,
    scene: GpuScene,
    memory: SceneMemory,
    film: FilmState,
    looks: boolean,
  ): Promise<GpuFilm> {
    const buffers = await layOutFilm(gpu, film, memory.colourways);
    const [batches, look] = await Promise.all([
      compileBatches(gpu, scene, buffers),
      looks ? compileLook(gpu, scene, buffers) : undefined,
    ]);
    return new GpuFilm(gpu, scene, film, buffers, batches, look);
  }

  private constructor(
    gpu: Gpu,
    scene: GpuScene,
    film: FilmState,
    buffers: Buffers,
    batches: Batch[],
    looking: Dispatch | undefined,
  ) {
    this.gpu = gpu;
    this.scene = scene;
    this.run = new PathRun(gpu, buffers.slots);
    this.film = film;
    this.buffers = buffers;
    this.batches = batches;
    this.looking = looking;
  }

  /** bytes on the card, the scene left out */
  get bytes(): number {
    const film = this.batches.reduce((all, b) => all + b.sum.size + b.split.size + b.noise.size, 0);
    const { parts, tiles, shows, slots } = this.buffers;
    const others = [parts, tiles, shows, slots.held, slots.throughputs, slots.lists];
    return others.reduce((all, b) => all + b.size, film);
  }

  get batchCount(): number {
    return this.batches.length;
  }

  /** Goes on with this film, which may be another of the same size. */
  take(film: FilmState): void {
    if (this.film === film && this.taken) return;
    this.taken = true;
    this.film = film;
    this.put();
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
    this.putShown();
  }

  /** Brings sums and differences back into the host's film. */
  async fetch(): Promise<void> {
    const { sum, split } = this.film;
    const pixels = this.film.width * this.film.height;
    const sums = new Uint8Array(sum.buffer, sum.byteOffset, sum.byteLength);
    const splits = new Uint8Array(split.buffer, split.byteOffset, split.byteLength);
    for (const batch of this.batches) {
      await copyOut(
        this.gpu.device,
        batch.sum,
        sums.subarray(batch.from * pixels * 12, batch.to * pixels * 12),
      );
      await copyOut(
        this.gpu.device,
        batch.split,
        splits.subarray(batch.from * pixels * 4, batch.to * pixels * 4),
      );
    }
  }

  /** Traces one block of samples of these tiles and leaves their variances in the host's film. `stopped` breaks off. */
  async pass(
    pass: Pass,
    inAnyOrder: readonly number[],
    stopped: () => boolean,
    onPaths: (n: number) => void,
  ): Promise<void> {
    const { device } = this.gpu;
    const { from, middle, to } = pass;
    const rooms = this.batches.map(({ planes }) => this.buffers.parts.size / PORTIONS / partBytes(planes));
    const room = Math.floor(Math.min(MOST_RUNS, ...rooms));
    const jobs = planJobs(this.film, pass, inAnyOrder, room);
    const tiles = jobs.flatMap((job) => job.tiles);
    if (pass.filtered && pass.from === 0) await this.noteShown(tiles, pass.seed);
    device.queue.writeBuffer(this.buffers.tiles, 0, new Uint32Array(tiles));
    const countA = pass.halfSamples + middle - from;
    const asked = { seed: pass.seed, start: from, middle, end: to, countA, countB: to - countA };
    for (const [b, batch] of this.batches.entries()) {
      if (stopped()) return;
      const ofBatch = { ...asked, colour: batch.from, room: room * partsOf(batch.planes).all };
      // every batch traces the same paths
      const works = this.works(batch.fold, jobs, ofBatch, b === 0 ? onPaths : () => {});
      await this.run.follow(batch.paths, works, stopped);
    }
    if (!stopped()) await this.fetchNoise(tiles);
  }

  /** Jobs as they are followed; `fold` adds their light to the film. */
  private works(
    fold: Dispatch,
    jobs: readonly PassJob[],
    asked: Partial<Job>,
    onPaths: (n: number) => void,
  ): Work[] {
    const portions: Portion[] = [];
    let begun = 0;
    return jobs.map(({ tiles, portion }) => ({
      runs: portion.runs,
      begin: (k, before) => {
        portions[k] = { ...portion, before };
        begun = before + portion.runs;
        this.give({ ...asked, portions, begun });
      },
      onRuns: (n) => onPaths(n * portion.run),
      end: (k) => {
        this.give({ ...asked, portions, begun, folds: k });
        this.submit(fold, tiles.length);
      },
    }));
  }

  /** FEATURES numbers of every pixel, row by row, as `KernelHost.features` gives them. */
  async look(seed: number): Promise<Float32Array> {
    const { width, height, samples } = this.film;
    const all = new Float32Array(width * height * FEATURES);
    const tiles = Array.from(samples, (_, tile) => tile);
    await this.eachRow(tiles, seed, (x, y, row) => all.set(row, (y * width + x) * FEATURES));
    return all;
  }

  destroy(): void {
    dropFilm(this.buffers);
    this.run.destroy();
  }

  /** For films that will be filtered: by what their pixels show their noise is judged. */
  private async noteShown(tiles: readonly number[], seed: number): Promise<void> {
    await this.eachRow(tiles, seed, (x, y, row) =>
      noteSeen(this.film, x, y, row.length / FEATURES, row as Float32Array),
    );
    this.putShown();
  }

  private putShown(): void {
    const padded = new Uint8Array(this.buffers.shows.size);
    padded.set(this.film.seen);
    this.gpu.device.queue.writeBuffer(this.buffers.shows, 0, padded);
  }

  /** Asks for what pixels of these tiles show, and hands it on by rows of tiles. */
  private async eachRow(
    tiles: readonly number[],
    seed: number,
    take: (x: number, y: number, features: Float32Array) => void,
  ): Promise<void> {
    const { device } = this.gpu;
    this.looking ??= await compileLook(this.gpu, this.scene, this.buffers);
    const look = this.looking;
    const { parts } = this.buffers;
    const ofTile = TILE * TILE * FEATURES;
    const most = this.gpu.facts.software ? LOOKED_AT_SOFTWARE : LOOKED_AT;
    const room = Math.min(most, Math.floor(parts.size / (ofTile * 4)));
    device.queue.writeBuffer(this.buffers.tiles, 0, new Uint32Array(tiles));
    for (let first = 0; first < tiles.length; first += room) {
      const count = Math.min(room, tiles.length - first);
      const runs = count * TILE * TILE;
      this.give({ seed, portions: [{ first, runs }] });
      this.submit(look, runs / 64);
      const found = new Float32Array(count * ofTile);
      await copyOut(this.gpu.device, parts, new Uint8Array(found.buffer));
      for (let i = 0; i < count; i++) {
        const r = tileRect(this.film, tiles[first + i]);
        for (let y = 0; y < r.height; y++) {
          const at = i * ofTile + y * TILE * FEATURES;
          take(r.x, r.y + y, found.subarray(at, at + r.width * FEATURES));
        }
      }
    }
  }

  /** Tells programs what to do. */
  private give(job: Partial<Job>): void {
    const { width, height, tilesX } = this.film;
    const whole: Partial<Job> = { width, height, tilesX, slots: this.buffers.slots.count, ...job };
    this.gpu.device.queue.writeBuffer(this.buffers.job, 0, jobWords(whole));
  }

  private submit(program: Dispatch, groups: number): void {
    const { device } = this.gpu;
    const commands = device.createCommandEncoder();
    const compute = commands.beginComputePass();
    dispatch(compute, program, groups);
    compute.end();
    device.queue.submit([commands.finish()]);
  }

  /** A tile's variance stands as that of its first row. */
  private async fetchNoise(tiles: readonly number[]): Promise<void> {
    const { rowVariance, colourways } = this.film;
    for (const { from, to, noise } of this.batches) {
      const planes = 2 * (to - from);
      const found = new Float32Array(tiles.length * planes);
      await copyOut(this.gpu.device, noise, new Uint8Array(found.buffer));
      tiles.forEach((tile, i) => {
        const rows = rowVariance.subarray(2 * tile * TILE * colourways, 2 * (tile + 1) * TILE * colourways);
        if (from === 0) rows.fill(0);
        rows.set(found.subarray(i * planes, (i + 1) * planes), 2 * from);
      });
    }
  }
}
