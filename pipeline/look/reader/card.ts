/**
 * The reader's own graphics card at the films of the live view. It is there or it isn't: a pass that it does not do, the
 * workers do, on the same film.
 */
import type { TraceScene } from '../../scene/trace-scene.ts';
import type { FilmState } from '../../tracer/film-state.ts';
import type { CardShare } from '../../tracer/gpu/card-share.ts';
import { type Gpu, openGpu } from '../../tracer/gpu/device.ts';
import { GpuFilm } from '../../tracer/gpu/gpu-film.ts';
import {
  dropScene,
  type GpuScene,
  loadScene,
  recolourScene,
  renewScene,
} from '../../tracer/gpu/gpu-scene.ts';
import { traitConstants } from '../../tracer/gpu/scene-traits.ts';
import { KernelHost, type KernelImage } from '../../tracer/kernel-host.ts';
import type { Pass } from '../../tracer/pass-share.ts';
import { turnedScene, type ViewTurn } from '../../tracer/turned-scene.ts';
import type { Size } from './coarse-size.ts';
import { Glimpse } from './glimpse.ts';
import type { Composed, StillScene } from './orders.ts';

/** Films that stay on the card: that of a sketch, and that of the whole frame. */
const KEPT = 2;

export class LookCard {
  /**
   * undefined where the browser has no card to give, or only a processor that plays one.
   * @param software for tests: that will do
   */
  static async open(
    host: GPU | undefined,
    wasm: WebAssembly.Module,
    software: boolean,
  ): Promise<LookCard | undefined> {
    const gpu = await openGpu(host);
    if (!gpu || (gpu.facts.software && !software)) return undefined;
    return new LookCard(gpu, await KernelHost.create(wasm));
  }

  private readonly gpu: Gpu;
  private readonly kernel: KernelHost;
  private scene: { still: StillScene; image: KernelImage; onCard: GpuScene } | undefined;
  /** films by their size, the one used last at the end; undefined while its programs are compiled */
  private readonly films = new Map<string, GpuFilm | undefined>();
  /** what shows the scene while it turns; compiled when it is first wanted */
  private glimpse: { made?: Glimpse } | undefined;
  private lost = false;

  constructor(gpu: Gpu, kernel: KernelHost) {
    this.gpu = gpu;
    this.kernel = kernel;
    gpu.device.lost.then(() => this.giveUp());
    gpu.device.addEventListener('uncapturederror', () => this.giveUp());
  }

  /** false once it has failed: it is left alone then */
  get works(): boolean {
    return !this.lost;
  }

  compose({ image, still }: Pick<Composed, 'image' | 'still'>): void {
    this.tried(() => {
      if (!image) return this.recolour(still);
      this.clear();
      this.kernel.adopt(image);
      this.scene = { still, image, onCard: loadScene(this.gpu, image) };
    });
  }

  private recolour(still: StillScene): void {
    if (!this.scene) return;
    this.kernel.recolour(still);
    this.scene.still = still;
    const { onCard, image } = this.scene;
    const recoloured = recolourScene(this.gpu, onCard, this.kernel.bytes, image.scene);
    if (traitConstants(recoloured) === traitConstants(onCard)) return;
    this.scene.onCard = recoloured;
    this.clearPrograms();
  }

  /** The light on the ground, as all have measured it. */
  light(grid: Float32Array): void {
    this.tried(() => {
      this.kernel.takeGround(grid);
      this.renew();
    });
  }

  turn(turn: ViewTurn, width: number, height: number): void {
    this.tried(() => {
      if (!this.scene) return;
      const still = { ...this.scene.still, width, height } as TraceScene;
      this.kernel.turn(turnedScene(still, turn, this.kernel.middle), turn.angle);
      this.renew();
    });
  }

  /**
   * A picture of the scene in this turn: sRGB codes row by row. undefined where the workers must trace it, since the card
   * can't or not yet.
   */
  async turned(
    turn: ViewTurn,
    size: Size,
    want: { seed: number; samples: number; colourway: number },
  ): Promise<Uint8ClampedArray<ArrayBuffer> | undefined> {
    const glimpse = this.glimpseNow();
    if (!glimpse) return undefined;
    this.turn(turn, size.width, size.height);
    const lost = this.gpu.device.lost.then(() => undefined);
    const codes = await Promise.race([glimpse.take(size, want), lost]).catch(() => this.giveUp());
    return this.lost ? undefined : (codes ?? undefined);
  }

  /** Does a pass, and leaves the film as the workers would; false where they must, since it can't or not yet. */
  async pass(pass: Pass, film: FilmState, share: CardShare): Promise<boolean> {
    const onCard = this.lost ? undefined : this.filmOf(film);
    if (!onCard) return false;
    const stopped = () => share.stopped || this.lost;
    const work = async () => {
      onCard.take(film);
      await onCard.pass(pass, share.tiles(pass.units), stopped, (paths) => share.addPaths(paths));
      if (!stopped()) await onCard.fetch();
    };
    await Promise.race([work(), this.gpu.device.lost]).catch(() => this.giveUp());
    return !this.lost;
  }

  close(): void {
    this.lost = true;
    this.gpu.device.destroy();
  }

  private glimpseNow(): Glimpse | undefined {
    const { scene } = this;
    if (!scene || this.lost) return undefined;
    if (this.glimpse) return this.glimpse.made;
    const glimpse: LookCard['glimpse'] = {};
    this.glimpse = glimpse;
    Glimpse.create(this.gpu, scene.onCard).then(
      (made) => {
        glimpse.made = made;
      },
      () => this.giveUp(),
    );
    return undefined;
  }

  private filmOf(film: FilmState): GpuFilm | undefined {
    const { scene, films } = this;
    if (!scene) return undefined;
    const size = [film.width, film.height, film.colourways].join(' ');
    if (films.has(size)) {
      const found = films.get(size);
      films.delete(size);
      films.set(size, found);
      return found;
    }
    films.set(size, undefined);
    const { onCard } = scene;
    GpuFilm.create(this.gpu, onCard, scene.image.scene, film, true).then(
      (made) => {
        if (this.scene?.onCard === onCard && films.has(size)) films.set(size, made);
        else made.destroy();
      },
      () => this.giveUp(),
    );
    const oldest = films.keys().next().value;
    if (films.size > KEPT && oldest !== undefined) {
      films.get(oldest)?.destroy();
      films.delete(oldest);
    }
    return undefined;
  }

  private renew(): void {
    if (this.scene) renewScene(this.gpu, this.scene.onCard, this.kernel.bytes);
  }

  private clear(): void {
    this.clearPrograms();
    if (this.scene) dropScene(this.scene.onCard);
    this.scene = undefined;
  }

  /** Films and glimpse go with the programs that they were made for. */
  private clearPrograms(): void {
    for (const film of this.films.values()) film?.destroy();
    this.films.clear();
    this.glimpse?.made?.destroy();
    this.glimpse = undefined;
  }

  private tried(work: () => void): void {
    if (this.lost) return;
    try {
      work();
    } catch {
      this.giveUp();
    }
  }

  private giveUp(): void {
    this.lost = true;
  }
}
