import type { TraceScene } from '../scene/trace-scene.ts';
import type { PackedTree } from './acceleration.ts';
import { layColours, type SceneColours } from './colour-records.ts';
import { groundGrid, measureSparsely } from './ground-grid.ts';
import { BOUND, FEATURE_SAMPLES, FEATURES, GRID, MIXED_SAMPLES } from './kernel/layout.ts';
import type { KernelExports } from './kernel-exports.ts';
import { MemoryView, reserve } from './kernel-memory.ts';
import type { Pixels } from './pass-share.ts';
import { FILM_SIDE, layScene, QUERY_RAYS, type SceneMemory } from './scene-memory.ts';
import { layTurn } from './turned-scene.ts';

/** As much more memory as other scenes of a band take, where it is used again. */
const SPARE = 1.2;

/** What a batch of closest-hit queries found. */
export interface Hits {
  /** distance along each (not necessarily unit) direction, `Infinity` where nothing was hit */
  t: Float32Array;
  /** triangle index; triangle count + stone index for a stone; 0xffffffff for nothing */
  primitive: Uint32Array;
}

/** What a scene takes over from the one that was loaded before it. */
export interface Lent {
  /** of a scene with the same mesh, cuts and stones */
  tree?: PackedTree;
  /** the light on the ground: that of the same lights, ground and bounds, or it is measured in shares */
  ground?: boolean;
}

/** A packed scene, as other instances of the kernel can take it over. */
export interface KernelImage {
  /** as many as lie before the film, or more */
  bytes: SharedArrayBuffer;
  scene: SceneMemory;
}

/**
 * One instance of the light-transport kernel. Runs in Node, in a page and in a worker.
 * `load` may be called again with another scene; memory only ever grows there, never while rendering.
 */
export class KernelHost {
  static async create(wasm: WebAssembly.Module): Promise<KernelHost> {
    const memory = new WebAssembly.Memory({ initial: 16 });
    const instance = await WebAssembly.instantiate(wasm, { env: { memory } });
    return new KernelHost(memory, instance.exports as unknown as KernelExports);
  }

  private scene: SceneMemory | undefined;
  /** the ground's light before any turn */
  private rest: Float32Array | undefined;
  private readonly memory: WebAssembly.Memory;
  /** the module's exports; only tests and the bench reach past the methods below */
  readonly kernel: KernelExports;

  private constructor(memory: WebAssembly.Memory, kernel: KernelExports) {
    this.memory = memory;
    this.kernel = kernel;
  }

  /**
   * Packs the scene into the kernel's memory and builds its acceleration structure, unless `kept` has what an earlier
   * scene can lend.
   */
  load(scene: TraceScene, kept: Lent = {}): PackedTree {
    const { laid, tree } = layScene(scene, this.memory, kept.tree);
    this.scene = laid;
    this.rest = undefined;
    if (scene.ground.kind !== 'none' && !kept.ground) this.kernel.measureGround(0, GRID);
    return tree;
  }

  /** Measures one of so many shares of the light on the ground into a grid that `takeGround` then takes as a whole. */
  measureGround(share: number, of: number, grid: Float32Array): void {
    this.loaded();
    const [from, to] = [share, share + 1].map((n) => Math.floor((n * GRID) / of));
    this.kernel.measureGround(from, to);
    const row = 4 * GRID;
    grid.set(groundGrid(this.memory).subarray(from * row, to * row), from * row);
  }

  takeGround(grid: Float32Array): void {
    groundGrid(this.memory).set(grid);
    this.rest = undefined;
  }

  /** The same as far as a first picture goes, in a third of the time: `fillSparse` fills the whole grid. */
  measureGroundSparsely(share: number, of: number, grid: Float32Array): void {
    const { memory, kernel } = this;
    measureSparsely({ memory, kernel }, { share, of }, grid, this.scratch(16));
  }

  /**
   * Turns the loaded scene for a look at it from elsewhere; `scene` is what `turnedScene` made of it. The light on the
   * ground is turned as it was measured.
   */
  turn(scene: TraceScene, angle: number): void {
    this.loaded();
    this.rest ??= groundGrid(this.memory).slice();
    layTurn(scene, this.memory, this.rest, angle);
  }

  /** Gives the loaded scene other colours and finishes: as many of each as it has, its geometry and light stay. */
  recolour(colours: SceneColours): void {
    layColours(new MemoryView(this.memory.buffer), colours, this.loaded().colours);
  }

  /**
   * The loaded scene as it lies in memory: packing it takes far longer than copying it.
   * @param spare memory for it, if it is large enough
   */
  image(spare?: SharedArrayBuffer): KernelImage {
    const scene = this.loaded();
    // the film and what follows it is scratch
    const fits = spare && spare.byteLength >= scene.film;
    const bytes = fits ? spare : new SharedArrayBuffer(Math.ceil(scene.film * (spare ? SPARE : 1)));
    new Uint8Array(bytes).set(new Uint8Array(this.memory.buffer, 0, scene.film));
    return { bytes, scene };
  }

  /** The loaded scene's bytes where they lie: good until memory grows. */
  get bytes(): Uint8Array {
    return new Uint8Array(this.memory.buffer, 0, this.loaded().film);
  }

  /** Takes over what another instance of the same module has loaded. */
  adopt({ bytes, scene }: KernelImage): void {
    reserve(this.memory, scene.size);
    new Uint8Array(this.memory.buffer).set(new Uint8Array(bytes, 0, scene.film));
    this.scene = scene;
    this.rest = undefined;
  }

  /** x and z of the middle of the loaded scene's bands, mm: turns go about it. */
  get middle(): [number, number] {
    this.loaded();
    const [x, , z] = new Float32Array(this.memory.buffer, BOUND, 3);
    return [x, z];
  }

  /** Colourways of the loaded scene. */
  get colourways(): number {
    return this.loaded().colourways;
  }

  /**
   * Traces samples [from, to) of every pixel of a rectangle of the frame.
   *
   * `rgb` receives SUMS over those samples (overwritten, not added to): linear Rec. 709, row-major, w·h·3 values
   * per plane: colourways one after another and, on clear ground, the matte (see `matte.ts`). Returns the number of paths traced.
   * Pure in (scene, seed, pixel, sample indices): the bits of a pixel never depend on the rectangle it was asked in.
   */
  render(
    x: number,
    y: number,
    w: number,
    h: number,
    from: number,
    to: number,
    seed: number,
    rgb: Float32Array,
    pixels: Pixels = 0,
  ): number {
    const scene = this.loaded();
    if (rgb.length !== w * h * 3 * scene.planes) {
      throw new RangeError(
        `expected ${w * h * 3 * scene.planes} values for ${w}×${h} pixels in ${scene.planes} planes but received room for ${rgb.length}`,
      );
    }
    let paths = 0;
    for (let top = 0; top < h; top += FILM_SIDE) {
      for (let left = 0; left < w; left += FILM_SIDE) {
        const wide = Math.min(FILM_SIDE, w - left);
        const high = Math.min(FILM_SIDE, h - top);
        paths += this.kernel.render(x + left, y + top, wide, high, from, to, seed, pixels);
        this.copyOut(wide, high, left, top, w, h, rgb);
      }
    }
    return paths;
  }

  /**
   * Features of the pixels of a rectangle, FEATURES floats each (see kernel/layout.ts), row by row. Pure as `render` is.
   * @param samples camera rays a pixel; where nothing else is said more in pixels that show more than one thing
   */
  features(x: number, y: number, w: number, h: number, seed: number, samples?: number): Float32Array {
    const [plain, ofMixed] = samples ? [samples, samples] : [FEATURE_SAMPLES, MIXED_SAMPLES];
    const { film } = this.loaded();
    const out = new Float32Array(w * h * FEATURES);
    for (let top = 0; top < h; top += FILM_SIDE) {
      for (let left = 0; left < w; left += FILM_SIDE) {
        const wide = Math.min(FILM_SIDE, w - left);
        const high = Math.min(FILM_SIDE, h - top);
        this.kernel.features(x + left, y + top, wide, high, seed, plain, ofMixed);
        const block = new Float32Array(this.memory.buffer, film, wide * high * FEATURES);
        for (let row = 0; row < high; row++)
          out.set(
            block.subarray(row * wide * FEATURES, (row + 1) * wide * FEATURES),
            ((top + row) * w + left) * FEATURES,
          );
      }
    }
    return out;
  }

  /** Nearest hit of each ray (origin xyz, direction xyz) with triangles and stones; ground and lights don't count. */
  closest(rays: Float32Array): Hits {
    const { rays: at, distances, primitives } = this.loaded();
    const count = rays.length / 6;
    const hits = { t: new Float32Array(count), primitive: new Uint32Array(count) };
    for (let from = 0; from < count; from += QUERY_RAYS) {
      const n = Math.min(QUERY_RAYS, count - from);
      new Float32Array(this.memory.buffer, at, n * 6).set(rays.subarray(from * 6, (from + n) * 6));
      this.kernel.closestBatch(at, n, distances, primitives);
      hits.t.set(new Float32Array(this.memory.buffer, distances, n), from);
      hits.primitive.set(new Uint32Array(this.memory.buffer, primitives, n), from);
    }
    return hits;
  }

  /** 1 for each ray (origin xyz, direction xyz) that meets any triangle or stone. */
  occluded(rays: Float32Array): Uint8Array {
    const { rays: at, primitives } = this.loaded();
    const count = rays.length / 6;
    const hit = new Uint8Array(count);
    for (let from = 0; from < count; from += QUERY_RAYS) {
      const n = Math.min(QUERY_RAYS, count - from);
      new Float32Array(this.memory.buffer, at, n * 6).set(rays.subarray(from * 6, (from + n) * 6));
      this.kernel.occludedBatch(at, n, primitives);
      hit.set(new Uint8Array(this.memory.buffer, primitives, n), from);
    }
    return hit;
  }

  /** Scratch for the probes: `count` floats the next query or probe may overwrite, and their byte offset. */
  scratch(count: number): { at: number; values: Float32Array } {
    const { rays } = this.loaded();
    if (count > QUERY_RAYS * 6)
      throw new RangeError(`expected at most ${QUERY_RAYS * 6} floats but received ${count}`);
    return { at: rays, values: new Float32Array(this.memory.buffer, rays, count) };
  }

  private copyOut(
    wide: number,
    high: number,
    left: number,
    top: number,
    w: number,
    h: number,
    rgb: Float32Array,
  ): void {
    const { film, planes } = this.loaded();
    const block = new Float32Array(this.memory.buffer, film, wide * high * 3 * planes);
    for (let row = 0; row < high * planes; row++) {
      const c = Math.floor(row / high);
      const y = top + (row % high);
      rgb.set(block.subarray(row * wide * 3, (row + 1) * wide * 3), ((c * h + y) * w + left) * 3);
    }
  }

  private loaded(): SceneMemory {
    if (!this.scene) throw new Error('expected a loaded scene; call load() first');
    return this.scene;
  }
}
