import type { TraceScene } from '../scene/trace-scene.ts';
import { layScene, type SceneMemory } from './scene-memory.ts';

/** Functions the WebAssembly module exports; pointers are byte offsets into the shared memory. */
interface KernelExports {
  render(x: number, y: number, w: number, h: number, from: number, to: number, seed: number): number;
  closestBatch(rays: number, count: number, t: number, primitive: number): void;
  occludedBatch(rays: number, count: number, hit: number): void;
}

/** What a batch of closest-hit queries found. */
export interface Hits {
  /** distance along each (not necessarily unit) direction, `Infinity` where nothing was hit */
  t: Float32Array;
  /** triangle index; triangle count + stone index for a stone; 0xffffffff for nothing */
  primitive: Uint32Array;
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
  private readonly memory: WebAssembly.Memory;
  private readonly kernel: KernelExports;

  private constructor(memory: WebAssembly.Memory, kernel: KernelExports) {
    this.memory = memory;
    this.kernel = kernel;
  }

  /** Packs the scene into the kernel's memory and builds its acceleration structure. */
  load(scene: TraceScene): void {
    this.scene = layScene(scene, this.memory);
  }

  /** Colourways of the loaded scene. */
  get colourways(): number {
    return this.loaded().colourways;
  }

  /**
   * Traces samples [from, to) of every pixel of a rectangle of the frame.
   *
   * `rgb` receives SUMS over those samples (overwritten, not added to): linear Rec. 709, row-major, w·h·3 values
   * per colourway, colourways one after another. Returns the number of paths traced, w·h·(to − from).
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
  ): number {
    const scene = this.loaded();
    if (rgb.length !== w * h * 3 * scene.colourways) {
      throw new RangeError(
        `expected ${w * h * 3 * scene.colourways} values for ${w}×${h} pixels in ${scene.colourways} colourways but received room for ${rgb.length}`,
      );
    }
    throw new Error('kernel not built yet');
  }

  private loaded(): SceneMemory {
    if (!this.scene) throw new Error('expected a loaded scene; call load() first');
    return this.scene;
  }
}
