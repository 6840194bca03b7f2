/**
 * The tracer that always works: the WebAssembly kernel in the workers of a headless browser. Takes may run side by
 * side; each has a page of its own, and they share one browser, which is started by the first take and started
 * anew after it was lost.
 */
import type { Page } from 'puppeteer';
import { reached } from '../fault-point.ts';
import type { TraceScene } from '../scene/trace-scene.ts';
import { type BrowserUse, type OpenBrowser, openBrowser, settles } from './browser.ts';
import { buildFiles, CACHE_DIR } from './built-files.mjs';
import type { FilmPieces } from './checkpoint.ts';
import { CheckpointInbox, checkpointIdentity } from './checkpoint-inbox.ts';
import { usableCores } from './cores.ts';
import { drawInPage } from './draw-page.ts';
import { keptBytes } from './film-state.ts';
import { checkTakeOptions } from './film-take.ts';
import { Household, type Means } from './household.ts';
import { filmPlanes, partPlanes } from './matte.ts';
import type { TakeOrder } from './page/orders.ts';
import { PageServer } from './page-server.ts';
import { printPage } from './print-page.ts';
import { ProcessorMeter } from './processor-meter.ts';
import { encodeScene } from './scene-blob.ts';
import {
  ENGINE,
  type EngineId,
  type Film,
  type TracedBy,
  type TraceOptions,
  type TraceProgress,
  type TraceResult,
  type Tracer,
} from './tracer.ts';
import { TracerLost } from './tracer-lost.ts';
import { Watchdog } from './watchdog.ts';

export interface SessionOptions extends Means {
  /** what takes are traced with; a card that refuses a take leaves it to the cores, and the result says so */
  engine?: EngineId;
  /** for tests: a processor that plays a graphics card may do */
  softwareCard?: boolean;
  /** workers per take; default one per core */
  workers?: number;
  /** ms between progress reports */
  every?: number;
  /** ms without progress after which the page is asked whether it lives */
  patience?: number;
  /** built files other than this repository's own */
  files?: { kernel: string; page: string; worker: string };
  cacheDir?: string;
  env?: Record<string, string | undefined>;
  /** told when the cores have traced what the card was asked for, and why */
  onInstead?: (why: string) => void;
  /** told once, if the browser runs without its own sandbox */
  onUnsandboxed?: (browser: string) => void;
  /** told what set-up does when something has to be built first */
  log?: (line: string) => void;
}

/** What `doctor` shows of a browser that runs. */
export type BrowserFacts = Omit<OpenBrowser, 'browser' | 'close' | 'kill' | 'whole'>;

export interface TracerSession extends Tracer {
  /** starts the browser if none runs; throws a ProblemError (`no-browser`) when none can */
  start(): Promise<BrowserFacts & { pid: number | undefined }>;
}

const DEFAULTS = { every: 250, patience: 60_000 };
/** A page that answers may go without progress this many times `patience`: machines sleep, scenes are large. */
const STRIKES = 5;
/**
 * ms for a page to open: 0.1 s on an idle machine. One whose renderer was killed meanwhile never does. Slow machines get
 * three times as long after each that did not.
 */
const OPENS = { first: 3000, most: 60_000 };
/** ms between looks at memory and priorities */
const HOUSEKEEPING = 1000;
const PING = 10_000;
const PING_SLICES = 10;
/** How V8 and Chromium word a refusal of memory, to a script or to WebAssembly. */
const NO_MEMORY = /out of memory|allocation failed|could not allocate|cannot allocate|failed to grow/i;

/**
 * Builds what is missing and opens the page server; the browser starts with the first take.
 *
 * `trace` rejects with an AbortError when the signal fires, with a TracerLost when browser or page were lost (the
 * take may be tried again), with a ProblemError when no browser can be started, with a RangeError for impossible
 * options, and with a plain Error when the kernel refuses the scene.
 */
export async function createTracerSession(options: SessionOptions = {}): Promise<TracerSession> {
  const cacheDir = options.cacheDir ?? CACHE_DIR;
  const files = options.files ?? (await buildFiles(cacheDir, options.log));
  const server = await PageServer.open(files);
  const patience = options.patience ?? DEFAULTS.patience;
  return new Session(server, { ...DEFAULTS, ...options, patience, cacheDir });
}

type Settings = SessionOptions & typeof DEFAULTS & { cacheDir: string };

class Session implements TracerSession {
  readonly engine: EngineId;
  private readonly server: PageServer;
  private readonly settings: Settings;
  private readonly household: Household;
  private opening: Promise<OpenBrowser> | undefined;
  private opensMs = OPENS.first;
  /** of the takes that run */
  private readonly meters = new Set<ProcessorMeter>();
  /** a browser of its own: the tracer's has no WebGL, which would take memory from takes */
  private drawing: Promise<OpenBrowser> | undefined;
  private closed = false;
  private toldUnsandboxed = false;

  constructor(server: PageServer, settings: Settings) {
    this.server = server;
    this.settings = settings;
    this.household = new Household(settings);
    this.engine = settings.engine ?? ENGINE;
  }

  async start(): Promise<BrowserFacts & { pid: number | undefined }> {
    const { browser, found, version, fitness, sandboxed } = await this.open();
    return { found, version, fitness, sandboxed, pid: browser.process()?.pid };
  }

  async trace(scene: TraceScene, options: TraceOptions): Promise<TraceResult> {
    checkTakeOptions(options);
    if (options.signal?.aborted) throw abortError(options.signal);
    const blob = encodeScene(scene);
    const kept = await this.kept(scene, blob, options);
    const opened = await this.open();
    const { onProgress } = options;
    const meter = new ProcessorMeter(opened.browser.process()?.pid);
    const told: TraceOptions = {
      ...options,
      onProgress: (p) => {
        meter.progress(p.paths);
        onProgress?.({ ...p, memory: this.household.memory });
      },
    };
    const opens = {
      ms: this.opensMs,
      onLate: () => {
        this.opensMs = Math.min(OPENS.most, 3 * this.opensMs);
      },
    };
    const take = new PageTake(this.server, this.settings, scene, blob, told, kept, opens, meter);
    // what the browser uses for several takes can't be told apart
    this.meters.add(meter);
    if (this.meters.size > 1) for (const each of this.meters) each.spoil();
    const keeping = setInterval(() => {
      this.household.look();
      if (!opened.whole()) take.cutOff();
      if (this.household.excess) take.tooLarge(this.household.excess);
    }, HOUSEKEEPING);
    try {
      return await take.run(opened);
    } finally {
      clearInterval(keeping);
      this.meters.delete(meter);
      await this.makeRoom(opened);
    }
  }

  async print(html: string): Promise<Uint8Array> {
    return printPage((await this.open()).browser, html);
  }

  async draw(script: string, name: string, order: unknown): Promise<unknown> {
    if (this.closed) throw new Error('the tracer session is closed');
    this.drawing ??= openBrowser({ ...this.settings, blank: this.server.blank, use: 'drawing' });
    return drawInPage((await this.drawing).browser, script, name, order);
  }

  async close(): Promise<void> {
    this.closed = true;
    for (const opening of [this.opening, this.drawing]) {
      const opened = await opening?.catch(() => undefined);
      await opened?.close();
    }
    await this.server.close();
  }

  /** What an earlier try at this take has left, and where this one's checkpoints go. */
  private async kept(scene: TraceScene, blob: Uint8Array, options: TraceOptions): Promise<Kept> {
    const { checkpoints: keeper } = options;
    if (!keeper) return {};
    const { width, height } = scene;
    const bytes = keptBytes({ width, height, colourways: filmPlanes(scene) });
    const identity = checkpointIdentity(blob, options, `${this.engine} ${this.server.engine}`);
    const pieces = await keeper.load(identity);
    return {
      pieces: pieces?.bytes === bytes ? pieces : undefined,
      inbox: new CheckpointInbox(keeper, identity, bytes),
    };
  }

  private get use(): BrowserUse {
    if (this.engine !== 'webgpu') return 'tracing';
    return this.settings.softwareCard ? 'software-card' : 'card';
  }

  /** A browser that has grown with its takes goes; the next take starts another. */
  private async makeRoom({ close }: OpenBrowser): Promise<void> {
    if (this.meters.size > 0) return;
    this.household.look();
    if (this.household.crowded) await close();
  }

  private open(): Promise<OpenBrowser> {
    if (this.closed) throw new Error('the tracer session is closed');
    if (this.opening) return this.opening;
    const opening = openBrowser({ ...this.settings, blank: this.server.blank, use: this.use });
    this.opening = opening;
    const forget = () => {
      if (this.opening === opening) this.opening = undefined;
    };
    opening.then(({ browser, close, sandboxed, found }) => {
      if (!sandboxed && !this.toldUnsandboxed) this.settings.onUnsandboxed?.(found.path);
      this.toldUnsandboxed ||= !sandboxed;
      browser.once('disconnected', () => {
        forget();
        // Its remains (profile, stray processes) go too.
        close();
      });
    }, forget);
    return opening;
  }
}

/** How long a page may take to open, and what is told if it takes longer. */
interface Opens {
  ms: number;
  onLate(): void;
}

interface Kept {
  pieces?: FilmPieces;
  inbox?: CheckpointInbox;
}

/** One take in one page, from opening to closing it. */
class PageTake {
  private readonly server: PageServer;
  private readonly settings: Settings;
  private readonly scene: TraceScene;
  private readonly blob: Uint8Array;
  private readonly options: TraceOptions;
  private readonly kept: Kept;
  private readonly opens: Opens;
  private readonly meter: ProcessorMeter;
  private readonly films: Film[] = [];
  private planesTaken = 0;
  /** the film that comes in, and bytes of films that have */
  private block: Uint8Array<ArrayBuffer> | undefined;
  private gathered = 0;
  private opened: OpenBrowser | undefined;
  private page: Page | undefined;
  private readonly watchdog: Watchdog;
  private asking = false;
  private settle!: { resolve(result: TraceResult): void; reject(error: Error): void };

  constructor(
    server: PageServer,
    settings: Settings,
    scene: TraceScene,
    blob: Uint8Array,
    options: TraceOptions,
    kept: Kept,
    opens: Opens,
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

  async run(opened: OpenBrowser): Promise<TraceResult> {
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
    this.visitInTime(browser, take.url).catch((error) => {
      // Nothing of the scene is in it yet: whatever hinders a page from opening is the browser's trouble, and stays it.
      this.recycle(
        new TracerLost(browser.connected ? 'page-silent' : 'browser-gone', String(error?.message)),
      );
    });
    try {
      return await result;
    } finally {
      clearInterval(watch);
      browser.off('disconnected', lost);
      signal?.removeEventListener('abort', abort);
      take.end();
      this.kept.inbox?.abandon();
      // Closing the page ends its workers in the midst of whatever they do.
      await settles(this.page?.close().catch(() => {}) ?? Promise.resolve(), 5000);
    }
  }

  /** The take holds more than is allowed: with fewer workers it may do. */
  tooLarge(excess: string): void {
    this.recycle(new TracerLost('over-memory', excess));
  }

  /** What the page has asked its server for may never come. */
  cutOff(): void {
    this.recycle(new TracerLost('browser-gone', "the browser's network process ended during a take"));
  }

  private order(): TakeOrder {
    const { width, height } = this.scene;
    const { seed, noiseTarget, passCap, checkpoints } = this.options;
    const relief = 2 ** (this.options.relief ?? 0);
    const workers = Math.max(1, Math.floor((this.settings.workers ?? usableCores()) / relief));
    const { every } = this.settings;
    const colourways = filmPlanes(this.scene);
    const { engine = ENGINE, softwareCard: software = false } = this.settings;
    const resuming = { resume: !!this.kept.pieces, checkpointEvery: checkpoints?.every };
    return {
      width,
      height,
      colourways,
      seed,
      noiseTarget,
      passCap,
      workers,
      every,
      engine,
      software,
      ...resuming,
    };
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
      done: ({ error, passes, paths, seconds }: TraceProgress, by: TracedBy) => {
        if (by?.instead) this.settings.onInstead?.(by.instead);
        const processor = this.meter.use(paths);
        const parted = onFilm ? { films: [] } : partPlanes(this.films, colourways.length);
        if (this.planesTaken === filmPlanes(this.scene))
          this.settle.resolve({ ...parted, error, passes, paths, seconds, processor, by });
        else this.settle.reject(new Error('the page ended its take without sending every film'));
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

  private async visitInTime(browser: OpenBrowser['browser'], url: string): Promise<void> {
    const { ms, onLate } = this.opens;
    if (await settles(this.visit(browser, url), ms)) return;
    onLate();
    throw new Error(`the page did not open within ${ms / 1000} s`);
  }

  private async visit(browser: OpenBrowser['browser'], url: string): Promise<void> {
    const page = await browser.newPage();
    this.page = page;
    page.once('error', (error) => this.recycle(new TracerLost('page-crashed', error.message)));
    page.once('pageerror', (error) => this.fail(String(error)));
    await reached('tracer.page', page);
    await page.goto(url);
  }

  /** A page or a worker that was refused memory may do with fewer workers; what else fails is the scene's fault. */
  private fail(why: string): void {
    if (NO_MEMORY.test(why)) this.recycle(new TracerLost('out-of-memory', why));
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

function abortError(signal: AbortSignal | undefined): Error {
  const { reason } = signal ?? {};
  return reason?.name === 'AbortError' ? reason : new DOMException('Tracing was stopped', 'AbortError');
}
