import type { FilterHands } from '../../tracer/film-filter.ts';
import { sharedFloats } from '../../tracer/film-guide.ts';
import type { FilmSize, FilmState } from '../../tracer/film-state.ts';
import { CardShare } from '../../tracer/gpu/card-share.ts';
import { fillSparse, GROUND_FLOATS } from '../../tracer/ground-grid.ts';
import { FEATURES } from '../../tracer/kernel/layout.ts';
import type { Pass } from '../../tracer/pass-share.ts';
import type { ViewTurn } from '../../tracer/turned-scene.ts';
import { memoryOf } from './branch-memory.ts';
import { LookCard } from './card.ts';
import type { Size } from './coarse-size.ts';
import { FilmBlocks } from './film-blocks.ts';
import type { Composed, Done, HandAnswer, HandOrder, SceneOrder, TreeGrowth } from './orders.ts';

/** In the page's address, for tests: a processor that plays a graphics card will do. */
const SOFTWARE_CARD = 'software-card';

/** The workers of one picture, each with a kernel of its own, and the graphics card, where the browser has one. */
export class LookCrew {
  static async engage(
    modules: { kernel: WebAssembly.Module; filter: WebAssembly.Module },
    count: number,
  ): Promise<LookCrew> {
    const software = new URLSearchParams(location.search).has(SOFTWARE_CARD);
    const card = await LookCard.open(navigator.gpu, modules.kernel, software).catch(() => undefined);
    const crew = new LookCrew(count, card);
    await crew.all({ kind: 'begin', ...modules, held: crew.held });
    return crew;
  }

  private readonly workers: Worker[];
  private readonly card: LookCard | undefined;
  private readonly held = new Int32Array(new SharedArrayBuffer(4));
  private readonly blocks = new FilmBlocks();
  private noted: Float32Array | undefined;
  private work: { film: FilmState; share: CardShare; features?: Float32Array } | undefined;
  /** how far what the film's pixels show is known: its first pass takes a glance */
  private looked: 'not' | 'glanced' | 'well' = 'not';

  /** the light on the ground was measured for a first picture */
  private unsettled = false;
  /** the scene on the card has been turned, and that of the workers has not */
  private cardTurned = false;

  private constructor(count: number, card: LookCard | undefined) {
    this.card = card;
    this.workers = Array.from(
      { length: count },
      () => new Worker(new URL('worker.js', document.baseURI), { type: 'module' }),
    );
  }

  get count(): number {
    return this.workers.length;
  }

  /**
   * Has a scene packed by one worker and taken over by all others; the light on its ground will do for a first picture, until
   * it is settled.
   * @returns planes of its films, and where its bands stand
   */
  async compose(scene: SceneOrder): Promise<Pick<Composed, 'planes' | 'stage'>> {
    const [first, ...others] = this.workers;
    const begun = await ask(first, { kind: 'compose', scene, afresh: this.cardTurned });
    const composed = begun.composed ?? (await this.grown(begun.growth as TreeGrowth));
    this.cardTurned = false;
    await Promise.all(others.map((w) => ask(w, { kind: 'adopt', composed })));
    this.card?.compose(composed);
    this.unsettled = composed.unlit;
    if (composed.unlit) await this.light(false);
    return composed;
  }

  /** Has the light on the ground measured as `make` does, where it was not. */
  async settle(): Promise<void> {
    if (this.unsettled) await this.light(true);
    this.unsettled = false;
  }

  /** Has the tree of a scene grown by all, and the scene packed with it. */
  private async grown(growth: TreeGrowth): Promise<Composed> {
    const taken = new Int32Array(new SharedArrayBuffer(4));
    const grown = await Promise.all(this.workers.map((w) => ask(w, { kind: 'grow', growth, taken })));
    const branches = grown.flatMap((done) => done.branches ?? []);
    const { composed } = await ask(this.workers[0], { kind: 'join', branches }, memoryOf(branches));
    return composed as Composed;
  }

  /** Whether a graphics card is at work; what it can't do the workers do. */
  get hasCard(): boolean {
    return this.card?.works ?? false;
  }

  /**
   * A picture of the scene in this turn by the card alone, as sRGB codes; the workers' scene stays as it is. undefined where
   * they must trace it.
   */
  async turned(
    turn: ViewTurn,
    size: Size,
    want: { seed: number; samples: number; colourway: number },
  ): Promise<Uint8ClampedArray<ArrayBuffer> | undefined> {
    this.cardTurned = this.hasCard;
    return this.card?.turned(turn, size, want);
  }

  turn(turn: ViewTurn, width: number, height: number): Promise<void> {
    this.card?.turn(turn, width, height);
    return this.all({ kind: 'turn', turn, width, height });
  }

  /**
   * A fresh film for everybody to work on.
   * @param shown the one film from before that is still wanted
   * @param filtered its features will be asked for
   */
  async film(
    size: FilmSize,
    shown: FilmState | undefined,
    filtered = false,
  ): Promise<{ film: FilmState; share: CardShare }> {
    const film = this.blocks.film(size, shown);
    const share = new CardShare(film);
    this.work = { film, share, features: filtered ? this.roomForFeatures(film) : undefined };
    this.looked = 'not';
    const block = film.buffer as SharedArrayBuffer;
    const noted = this.work.features?.buffer as SharedArrayBuffer | undefined;
    await this.all({ kind: 'film', size, film: block, share: share.buffer, features: noted });
    return { film, share };
  }

  /** @param hands how many are to work on it */
  async pass(pass: Pass, hands = this.count): Promise<void> {
    if (this.card && this.work && (await this.card.pass(pass, this.work.film, this.work.share))) return;
    await Promise.all(this.workers.slice(0, hands).map((w) => ask(w, { kind: 'pass', pass })));
    if (pass.filtered && pass.from === 0 && !this.work?.share.stopped) this.looked = 'glanced';
  }

  /**
   * What the pixels of the film show of the scene, FEATURES floats each, in one array that gets better.
   * @param well as `make` looks at them; else a glance will do, where one has been taken
   */
  async features(seed: number, well: boolean): Promise<Float32Array> {
    const { work } = this;
    if (!work) throw new Error('features were asked for before a film');
    work.features ??= this.roomForFeatures(work.film);
    if (this.looked === 'well' || (this.looked === 'glanced' && !well)) return work.features;
    const features = work.features.buffer as SharedArrayBuffer;
    const of = this.count;
    await Promise.all(
      this.workers.map((w, share) => ask(w, { kind: 'features', share, of, seed, features })),
    );
    if (!work.share.stopped) this.looked = 'well';
    return work.features;
  }

  /** Of one film at a time: none that is shown before the first of another's pictures has any filtered. */
  private roomForFeatures({ width, height }: FilmSize): Float32Array {
    const floats = width * height * FEATURES;
    if (this.noted?.length !== floats) this.noted = sharedFloats(floats);
    return this.noted;
  }

  /** Has everybody rest from passes and filter: soon there will be something else to do. */
  hold(): void {
    Atomics.store(this.held, 0, 1);
  }

  resume(): void {
    Atomics.store(this.held, 0, 0);
    Atomics.notify(this.held, 0);
  }

  /** The film filter's work, left undone when the film's share is stopped; its arrays must lie in shared memory. */
  readonly filter: FilterHands = async (task) => {
    const taken = new Int32Array(new SharedArrayBuffer(4));
    await this.all({ kind: 'filter', task, taken });
  };

  dismiss(): void {
    this.card?.close();
    for (const worker of this.workers) worker.terminate();
  }

  /** Has the light on the ground measured by all. */
  private async light(exact: boolean): Promise<void> {
    const grid = new SharedArrayBuffer(4 * GROUND_FLOATS);
    const of = this.count;
    await Promise.all(this.workers.map((w, share) => ask(w, { kind: 'measure', share, of, grid, exact })));
    if (!exact) fillSparse(new Float32Array(grid));
    await this.all({ kind: 'light', grid, exact });
    this.card?.light(new Float32Array(grid));
  }

  private async all(order: HandOrder): Promise<void> {
    await Promise.all(this.workers.map((w) => ask(w, order)));
  }
}

/** Hands an order to a worker; rejects when it fails or dies. */
function ask(worker: Worker, order: HandOrder, moved: Transferable[] = []): Promise<Done> {
  return new Promise((resolve, reject) => {
    worker.onmessage = ({ data }: MessageEvent<HandAnswer>) =>
      data.kind === 'done' ? resolve(data) : reject(new Error(data.why));
    worker.onerror = (event) => reject(new Error(event.message || 'a worker could not start'));
    worker.postMessage(order, moved);
  });
}
