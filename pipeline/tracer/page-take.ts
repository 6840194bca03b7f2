/** One take in one page of the browser, or of what stands for one, from opening to closing it. */
import { reached } from '../fault-point.ts';
import type { TraceScene } from '../scene/trace-scene.ts';
import { settles } from './browser-process.ts';
import type { FilmPieces } from './checkpoint.ts';
import type { CheckpointInbox } from './checkpoint-inbox.ts';
import { usableCores } from './cores.ts';
import { GUIDE_PLANES } from './film-guide.ts';
import { filmPlanes, partPlanes } from './matte.ts';
import type { CardNews, TakeOrder } from './page/orders.ts';
import type { PageOpens } from './page-opens.ts';
import type { PageServer } from './page-server.ts';
import type { ProcessorMeter } from './processor-meter.ts';
import type { TakeHost, TakePage } from './take-host.ts';
import {
  ENGINE,
  type EngineId,
  type Film,
  type TraceOptions,
  type TraceProgress,
  type TraceResult,
} from './tracer.ts';
import { TracerLost } from './tracer-lost.ts';
import { Watchdog } from './watchdog.ts';

/** A page that answers may go without progress this many times `patience`: machines sleep, scenes are large. */
const STRIKES = 5;
const PING = 10_000;
const PING_SLICES = 10;
/** How V8 and Chromium word a refusal of memory, to a script or to WebAssembly. */
const NO_MEMORY = /out of memory|allocation failed|could not allocate|cannot allocate|failed to grow/i;

export interface TakeSettings {
  /** workers per take; default one per core */
  workers?: number;
  /** ms between progress reports */
  every: number;
  /** ms without progress after which the page is asked whether it lives */
  patience: number;
  /** what takes are traced with; a card that refuses a take leaves it to the cores, and the result says so */
  engine?: EngineId;
  /** for tests: a processor that plays a graphics card may do */
  softwareCard?: boolean;
}

/** The graphics card does not trace this take, or no longer: the cores can. */
export class CardRefusal extends Error {}

/** What an earlier try has left, and where checkpoints of this one go. */
export interface Kept {
  pieces?: FilmPieces;
  inbox?: CheckpointInbox;
}

export class PageTake {
  private readonly server: PageServer;
  private readonly settings: TakeSettings;
  private readonly scene: TraceScene;
  private readonly blob: Uint8Array;
  private readonly options: TraceOptions;
  private readonly kept: Kept;
  private readonly opens: PageOpens;
  private readonly meter: ProcessorMeter;
  private readonly films: Film[] = [];
  private planesTaken = 0;
  /** the film that comes in, and bytes of films that have */
  private block: Uint8Array<ArrayBuffer> | undefined;
  private gathered = 0;
  private card: CardNews = {};
  private opened: TakeHost | undefined;
  private page: TakePage | undefined;
  private readonly watchdog: Watchdog;
  private asking = false;
  private settle!: { resolve(result: TraceResult): void; reject(error: Error): void };

  constructor(
    server: PageServer,
    settings: TakeSettings,
    scene: TraceScene,
    blob: Uint8Array,
    options: TraceOptions,
    kept: Kept,
    opens: PageOpens,
    meter: ProcessorMeter,
  ) {
    this.server = server;
    this.settings = settings;
    this.scene = scene;
    this.blob = blob;
    this.options = options;
    this.kept = kept;
    this.opens = opens;
    this.meter = meter;
    const { patience } = settings;
    this.watchdog = new Watchdog({ patience, limit: STRIKES * patience, every: patience / 4 });
  }

  async run(opened: TakeHost): Promise<TraceResult> {
    const { browser } = opened;
    this.opened = opened;
    const { signal } = this.options;
    const result = new Promise<TraceResult>((resolve, reject) => {
      this.settle = { resolve, reject };
    });
    const lost = () => this.settle.reject(new TracerLost('browser-gone', 'the browser ended during a take'));
    const abort = () => this.settle.reject(abortError(signal));
    const take = this.server.openTake(this.order(), this.blob, this.events(), this.kept.pieces);
    const watch = setInterval(() => this.watch(), this.settings.patience / 4);
    // not `once`: puppeteer's `off` doesn't find what its `once` has wrapped, and every take would stay with its scene
    browser.on('disconnected', lost);
    signal?.addEventListener('abort', abort, { once: true });
    if (!browser.connected) lost();
    if (signal?.aborted) abort();
    this.opens.inTime(this.visit(opened, take.url)).catch((error) => {
      // Nothing of the scene is in it yet: whatever hinders a page from opening is the browser's trouble, and stays it.
      this.recycle(
        new TracerLost(browser.connected ? 'page-silent' : 'browser-gone', String(error?.message)),
      );
    });
    let well = false;
    try {
      const made = await result;
      well = true;
      return made;
    } finally {
      clearInterval(watch);
      browser.off('disconnected', lost);
      signal?.removeEventListener('abort', abort);
      take.end();
      this.kept.inbox?.abandon();
      if (this.page) await opened.pages.leave(this.page, well);
    }
  }

  /** The take holds more than is allowed: with fewer workers it may do. */
  tooLarge(excess: string): void {
    this.recycle(new TracerLost('over-memory', excess));
  }

  private order(): TakeOrder {
    const { width, height } = this.scene;
    const { seed, noiseTarget, passCap, checkpoints, filtered = false } = this.options;
    const relief = 2 ** (this.options.relief ?? 0);
    const workers = Math.max(1, Math.floor((this.settings.workers ?? usableCores()) / relief));
    const { every, engine = ENGINE, softwareCard: software = false } = this.settings;
    const colourways = filmPlanes(this.scene);
    const planes = { colourways, colours: this.scene.colourways.length, guide: this.guided };
    const quality = { seed, noiseTarget, passCap, filtered };
    const order = { width, height, ...planes, ...quality, every, resume: !!this.kept.pieces };
    const checkpointEvery = checkpoints?.every;
    if (engine === ENGINE) return { ...order, workers, checkpointEvery };
    return { ...order, workers: 1, checkpointEvery, card: { software } };
  }

  private get by(): TraceResult['by'] {
    return {
      engine: this.settings.engine ?? ENGINE,
      ...(this.card.adapter && { adapter: this.card.adapter }),
    };
  }

  private get guided(): boolean {
    return this.options.guide === true && this.options.onFilm !== undefined;
  }

  private events() {
    const { width, height, colourways } = this.scene;
    const { onFilm } = this.options;
    return {
      progress: (progress: TraceProgress) => {
        this.watchdog.beat(progress.seconds, progress.paths);
        this.options.onProgress?.(progress);
        reached('tracer.progress', this.page);
      },
      film: async (plane: number, at: number, piece: Uint8Array) => {
        this.watchdog.sign();
        const whole = this.gather(at, piece);
        if (!whole) return;
        const film = { width, height, data: whole };
        if (onFilm) await onFilm(film, plane).catch((error) => this.settle.reject(error));
        else this.films[plane] = film;
        this.planesTaken++;
      },
      checkpoint: async (at: number, piece: Uint8Array) => {
        this.watchdog.sign();
        await this.kept.inbox?.take(at, piece).catch((error) => this.settle.reject(error));
      },
      done: ({ error, passes, paths, seconds }: TraceProgress) => {
        // what the processor does beside a card says nothing of what a take costs
        const processor = this.card.adapter === undefined ? this.meter.use(paths) : undefined;
        const parted = onFilm ? { films: [] } : partPlanes(this.films, colourways.length);
        if (this.planesTaken === filmPlanes(this.scene) + (this.guided ? GUIDE_PLANES : 0))
          this.settle.resolve({ ...parted, error, passes, paths, seconds, processor, by: this.by });
        else this.settle.reject(new Error('the page ended its take without sending every film'));
      },
      card: (news: CardNews) => {
        this.watchdog.sign();
        this.card = news;
      },
      failed: (why: string) => this.fail(why),
    };
  }

  /**
   * The film once its last piece is there. Films that are not kept share one block: left to the garbage collector, sixteen
   * of 1600² pixels stood at 0.9 GB before it came round.
   */
  private gather(at: number, piece: Uint8Array): Float32Array | undefined {
    const bytes = this.scene.width * this.scene.height * 12;
    if (at !== this.gathered % bytes)
      throw new Error(`expected byte ${this.gathered % bytes} of a film, not ${at}`);
    if (at === 0 && !(this.options.onFilm && this.block)) this.block = new Uint8Array(bytes);
    this.block?.set(piece, at);
    this.gathered += piece.length;
    return at + piece.length === bytes && this.block ? new Float32Array(this.block.buffer) : undefined;
  }

  private async visit({ pages }: TakeHost, url: string): Promise<void> {
    const page = await pages.open();
    this.page = page;
    page.once('error', (error) => this.recycle(new TracerLost('page-crashed', (error as Error).message)));
    page.once('pageerror', (error) => this.fail(String(error)));
    await reached('tracer.page', page);
    await page.goto(url);
  }

  /** A page or a worker that was refused memory may do with fewer workers; what else fails is the scene's fault. */
  private fail(why: string): void {
    if (this.card.refused !== undefined) this.settle.reject(new CardRefusal(this.card.refused));
    else if (NO_MEMORY.test(why)) this.recycle(new TracerLost('out-of-memory', why));
    else this.settle.reject(new Error(`Tracing failed: ${why}`));
  }

  /** The browser goes too: it may be beyond closing a page, and what it holds of memory is wanted. */
  private recycle(loss: TracerLost): void {
    this.settle.reject(loss);
    this.opened?.kill();
  }

  private async watch(): Promise<void> {
    const verdict = this.watchdog.tick();
    if (verdict === 'fine' || !this.page || this.asking) return;
    const seconds = this.watchdog.quietSeconds;
    if (verdict === 'stuck')
      return this.recycle(new TracerLost('no-progress', `no path traced for ${seconds} s`));
    this.asking = true;
    const ping = this.page.evaluate(() => true).catch(() => new Promise(() => {}));
    let answers = false;
    // in slices: a machine that slept meanwhile loses one of them and not the whole wait
    for (let i = 0; !answers && i < PING_SLICES; i++)
      answers = await settles(ping, Math.min(PING, this.settings.patience) / PING_SLICES);
    this.asking = false;
    if (!answers) this.recycle(new TracerLost('page-silent', `no progress for ${seconds} s and no answer`));
  }
}

export function abortError(signal: AbortSignal | undefined): Error {
  const { reason } = signal ?? {};
  return reason?.name === 'AbortError' ? reason : new DOMException('Tracing was stopped', 'AbortError');
}
