/** A graphics card at the passes of a take: `traceTake` decides, this traces. Free of Node and of pages. */
import type { FilmState } from '../film-state.ts';
import type { Crew } from '../film-take.ts';
import type { KernelImage } from '../kernel-host.ts';
import type { Pass } from '../pass-share.ts';
import type { CardShare } from './card-share.ts';
import { type Gpu, GpuRefusal } from './device.ts';
import { GpuFilm } from './gpu-film.ts';
import { dropScene, type GpuScene, loadScene } from './gpu-scene.ts';

/** ms in which a device that was lost says so */
const TOLD_WITHIN = 200;

export class GpuCrew implements Crew {
  readonly workers = 1;
  private readonly gpu: Gpu;
  private readonly scene: GpuScene;
  private readonly gpuFilm: GpuFilm;
  private readonly share: CardShare;
  private lost: GpuRefusal | undefined;
  private readonly onError = ({ error }: GPUUncapturedErrorEvent) => {
    this.lost ??= new GpuRefusal('refused', error.message.slice(0, 300));
  };

  /**
   * Packs scene and film onto the card and compiles the programs. `film` may have samples already. Throws a GpuRefusal
   * where card or driver won't do it.
   * @param looks what pixels show will be asked for
   */
  static async engage(
    gpu: Gpu,
    image: KernelImage,
    film: FilmState,
    share: CardShare,
    looks = false,
  ): Promise<GpuCrew> {
    const scene = loadScene(gpu, image);
    try {
      const gpuFilm = await GpuFilm.create(gpu, scene, image.scene, film, looks);
      if (film.samples.some((n) => n > 0)) gpuFilm.put();
      return new GpuCrew(gpu, scene, gpuFilm, share);
    } catch (error) {
      dropScene(scene);
      throw asRefusal(error);
    }
  }

  private constructor(gpu: Gpu, scene: GpuScene, gpuFilm: GpuFilm, share: CardShare) {
    this.gpu = gpu;
    this.scene = scene;
    this.gpuFilm = gpuFilm;
    this.share = share;
    gpu.device.lost.then(({ reason, message }) => {
      this.lost = new GpuRefusal('lost', message || reason);
    });
    // what no scope asks about: a film it has touched can't be trusted
    gpu.device.addEventListener('uncapturederror', this.onError);
  }

  /** bytes on the card, without the scene, and how many batches of planes a pass takes */
  get use(): { bytes: number; batches: number } {
    return { bytes: this.gpuFilm.bytes, batches: this.gpuFilm.batchCount };
  }

  async work(pass: Pass): Promise<void> {
    const { device } = this.gpu;
    const tiles = this.share.tiles(pass.units);
    const stopped = () => this.share.stopped || this.lost !== undefined;
    const passing = this.gpuFilm.pass(pass, tiles, stopped, (paths) => this.share.addPaths(paths));
    await Promise.race([passing, device.lost]).catch(async (error) => {
      // that a device is lost may be told after what waited for it has failed
      await Promise.race([device.lost, new Promise((resolve) => setTimeout(resolve, TOLD_WITHIN))]);
      throw this.lost ?? asRefusal(error);
    });
    if (this.lost) throw this.lost;
  }

  /** Brings the film to the host: for a checkpoint, and at the end. */
  async fetch(): Promise<void> {
    await this.gpuFilm.fetch().catch((error) => {
      throw this.lost ?? asRefusal(error);
    });
  }

  /** FEATURES numbers of every pixel, row by row. */
  look(seed: number): Promise<Float32Array> {
    return this.gpuFilm.look(seed).catch((error) => {
      throw this.lost ?? asRefusal(error);
    });
  }

  dismiss(): void {
    this.gpu.device.removeEventListener('uncapturederror', this.onError);
    this.gpuFilm.destroy();
    dropScene(this.scene);
  }
}

function asRefusal(error: unknown): GpuRefusal {
  if (error instanceof GpuRefusal) return error;
  return new GpuRefusal('refused', error instanceof Error ? error.message : String(error));
}
