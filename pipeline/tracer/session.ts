/**
 * The tracer that always works: the WebAssembly kernel in the workers of a headless browser. Takes may run side by side; each
 * has a page of its own, and they share one browser, which the first take starts, and another after it was lost.
 */
import type { Page } from 'puppeteer';
import type { TraceScene } from '../scene/trace-scene.ts';
import { CACHE_DIR } from '../store/installation.mjs';
import { type BrowserUse, type OpenBrowser, openBrowser } from './browser.ts';
import { buildFiles } from './built-files.mjs';
import { CheckpointInbox, checkpointIdentity } from './checkpoint-inbox.ts';
import { type DawnProcess, hasDawn, openDawn } from './dawn-process.ts';
import { drawInPage } from './draw-page.ts';
import { keptBytes } from './film-state.ts';
import { checkTakeOptions } from './film-take.ts';
import { type AdapterFacts, factsOf } from './gpu/device.ts';
import { Household, type Means } from './household.ts';
import { filmPlanes } from './matte.ts';
import { inOwnPage } from './own-page.ts';
import { PageOpens } from './page-opens.ts';
import { type BuiltFiles, PageServer } from './page-server.ts';
import { abortError, CardRefusal, type Kept, PageTake, type TakeSettings } from './page-take.ts';
import { printPage } from './print-page.ts';
import { ProcessorMeter } from './processor-meter.ts';
import { encodeScene } from './scene-blob.ts';
import { SharedBrowser } from './shared-browser.ts';
import type { TakeHost } from './take-host.ts';
import { ENGINE, type EngineId, type TraceOptions, type TraceResult, type Tracer } from './tracer.ts';
import { TracerLost } from './tracer-lost.ts';

export interface SessionOptions extends Means, Partial<TakeSettings> {
  /** built files other than this repository's own */
  files?: BuiltFiles;
  cacheDir?: string;
  env?: Record<string, string | undefined>;
  /** told once, if the browser runs without its own sandbox */
  onUnsandboxed?: (browser: string) => void;
  /** for tests: where a graphics card is looked for; both, unless given, the browser first */
  cardHost?: 'browser' | 'node';
  /** for tests: ms that any page may take to open, however quickly others did */
  opensMs?: number;
  /** told when the cores trace what the card was asked for, and why */
  onInstead?: (why: string) => void;
  /** told what set-up does when something has to be built first */
  log?: (line: string) => void;
}

/** What `doctor` shows of a browser that runs. */
export type BrowserFacts = Omit<OpenBrowser, 'browser' | 'pages' | 'printing' | 'close' | 'kill'>;

export interface FoundCard {
  facts: AdapterFacts;
  /** through which it is used, with its version */
  host: string;
}

export interface TracerSession extends Tracer {
  /** starts the browser if none runs; throws a ProblemError (`no-browser`) when none can */
  start(): Promise<BrowserFacts & { pid: number | undefined }>;
  /** the graphics card that a session for one finds, in its browser or else by Dawn for Node; undefined where there is none */
  card(): Promise<FoundCard | undefined>;
  /** hash of the code that traces */
  readonly code: string;
}

/** A card whose browser was lost so often is left alone. */
const CARD_TRIES = 2;
const DEFAULTS = { every: 250, patience: 60_000 };
/** A print or drawing whose browser was lost is tried this often. */
const PAGE_TRIES = 3;
/** ms between looks at memory and priorities */
const HOUSEKEEPING = 1000;

/**
 * Builds what is missing and opens the page server; the browser starts with the first take.
 *
 * `trace` rejects with an AbortError when the signal fires, with a TracerLost when browser or page were lost (to be tried again),
 * a ProblemError when no browser can be started, a RangeError for impossible options, an Error when the kernel refuses the scene.
 */
export async function createTracerSession(options: SessionOptions = {}): Promise<TracerSession> {
  const cacheDir = options.cacheDir ?? CACHE_DIR;
  const files = options.files ?? (await buildFiles(options.cacheDir, options.log));
  const server = await PageServer.open(files);
  const patience = options.patience ?? DEFAULTS.patience;
  return new Session(server, { ...DEFAULTS, ...options, patience, cacheDir });
}

type Settings = SessionOptions & TakeSettings & { cacheDir: string };

class Session implements TracerSession {
  readonly engine: EngineId;
  private readonly server: PageServer;
  private readonly settings: Settings;
  private readonly household: Household;
  private readonly tracing: SharedBrowser<OpenBrowser>;
  /** for a card that the browser can't use */
  private readonly dawn: SharedBrowser<DawnProcess>;
  private byDawn: Promise<boolean> | undefined;
  /** a browser of its own: the tracer's has no WebGL, which would take memory from takes */
  private readonly drawing: SharedBrowser<OpenBrowser>;
  private readonly opens: PageOpens;
  /** of the takes that run */
  private readonly meters = new Set<ProcessorMeter>();
  private closed = false;
  private toldUnsandboxed = false;
  /** browsers that were lost while the card traced */
  private lostByCard = 0;

  constructor(server: PageServer, settings: Settings) {
    this.server = server;
    this.settings = settings;
    this.household = new Household(settings);
    this.opens = new PageOpens(settings.opensMs);
    this.engine = settings.engine ?? ENGINE;
    this.tracing = new SharedBrowser(() => this.open(this.use));
    this.dawn = new SharedBrowser(() => openDawn(settings.env));
    this.drawing = new SharedBrowser(() => this.open('drawing'));
  }

  async start(): Promise<BrowserFacts & { pid: number | undefined }> {
    const { browser, found, version, fitness, sandboxed } = await this.tracing.open();
    return { found, version, fitness, sandboxed, pid: browser.process()?.pid };
  }

  async card(): Promise<FoundCard | undefined> {
    if (this.use === 'tracing') return undefined;
    return (await this.usesDawn()) ? this.dawnCard() : this.browserCard();
  }

  get code(): string {
    return this.codeOf(this.engine);
  }

  async trace(scene: TraceScene, options: TraceOptions): Promise<TraceResult> {
    if (this.engine === ENGINE) return this.traceBy(ENGINE, scene, options);
    let instead = '';
    try {
      if (this.lostByCard < CARD_TRIES) return await this.traceBy(this.engine, scene, options);
      instead = `the browser was lost ${this.lostByCard} times while the card traced`;
    } catch (error) {
      if (error instanceof TracerLost) this.lostByCard++;
      if (!(error instanceof CardRefusal)) throw error;
      instead = error.message;
    }
    this.settings.onInstead?.(instead);
    return { ...(await this.traceBy(ENGINE, scene, options)), by: { engine: ENGINE, instead } };
  }

  private async traceBy(engine: EngineId, scene: TraceScene, options: TraceOptions): Promise<TraceResult> {
    checkTakeOptions(options);
    if (options.signal?.aborted) throw abortError(options.signal);
    const blob = encodeScene(scene);
    const kept = await this.kept(engine, scene, blob, options);
    const opened = await this.hostOf(engine);
    const { onProgress } = options;
    const meter = new ProcessorMeter(opened.browser.process()?.pid);
    const told: TraceOptions = {
      ...options,
      onProgress: (p) => {
        meter.progress(p.paths);
        onProgress?.({ ...p, memory: this.household.memory });
      },
    };
    const settings = { ...this.settings, engine };
    const take = new PageTake(this.server, settings, scene, blob, told, kept, this.opens, meter);
    // what the browser uses for several takes can't be told apart
    this.meters.add(meter);
    if (this.meters.size > 1) for (const each of this.meters) each.spoil();
    const keeping = setInterval(() => {
      this.household.look();
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
    return this.inPage(this.tracing, (page) => printPage(page, html), 'printing');
  }

  async draw(script: string, name: string, order: unknown): Promise<unknown> {
    return this.inPage(this.drawing, (page) => drawInPage(page, script, name, order));
  }

  async film(script: string, name: string, order: unknown): Promise<unknown> {
    return this.inPage(this.tracing, (page) => drawInPage(page, script, name, order, this.server.blank));
  }

  async close(): Promise<void> {
    this.closed = true;
    for (const shared of [this.tracing, this.dawn, this.drawing]) await shared.close();
    await this.server.close();
  }

  private async inPage<T>(
    shared: SharedBrowser<OpenBrowser>,
    work: (page: Page) => Promise<T>,
    kept?: 'printing',
  ): Promise<T> {
    for (let attempt = 1; ; attempt++) {
      try {
        const opened = await shared.open();
        return await inOwnPage(opened, this.opens, work, kept && opened[kept]);
      } catch (error) {
        if (!(error instanceof TracerLost) || this.closed || attempt === PAGE_TRIES) throw error;
      }
    }
  }

  /** What an earlier try at this take has left, and where this one's checkpoints go. */
  private async kept(
    engine: EngineId,
    scene: TraceScene,
    blob: Uint8Array,
    options: TraceOptions,
  ): Promise<Kept> {
    const { checkpoints: keeper } = options;
    if (!keeper) return {};
    const { width, height } = scene;
    const bytes = keptBytes({ width, height, colourways: filmPlanes(scene) });
    const identity = checkpointIdentity(blob, options, this.codeOf(engine));
    const pieces = await keeper.load(identity);
    return {
      pieces: pieces?.bytes === bytes ? pieces : undefined,
      inbox: new CheckpointInbox(keeper, identity, bytes),
    };
  }

  private async hostOf(engine: EngineId): Promise<TakeHost> {
    if (engine === ENGINE || !(await this.usesDawn())) return this.tracing.open();
    return this.dawn.open().catch((error) => {
      throw new CardRefusal(error.message);
    });
  }

  /** Whether the card is Dawn's: the browser has none, and Dawn for Node is there and has one. */
  private usesDawn(): Promise<boolean> {
    this.byDawn ??= this.cardIsDawns();
    return this.byDawn;
  }

  private async cardIsDawns(): Promise<boolean> {
    const { cardHost, softwareCard = false } = this.settings;
    const serves = (found: FoundCard | undefined) => !!found && (softwareCard || !found.facts.software);
    if (cardHost) return cardHost === 'node';
    if (!hasDawn()) return false;
    // a server may have a card and no browser at all
    const inBrowser = await this.browserCard().catch(() => undefined);
    return !serves(inBrowser) && serves(await this.dawnCard());
  }

  private async browserCard(): Promise<FoundCard | undefined> {
    const opened = await this.tracing.open();
    const found = await inOwnPage(opened, this.opens, async (page) => {
      await page.goto(this.server.blank);
      return page.evaluate(async () => {
        const adapter = await navigator.gpu?.requestAdapter({ powerPreference: 'high-performance' });
        if (!adapter) return undefined;
        const { vendor, architecture, device, description, isFallbackAdapter } = adapter.info;
        const { driver } = adapter.info as { driver?: string };
        return { vendor, architecture, device, description, isFallbackAdapter, driver };
      });
    });
    return found && { facts: factsOf(found), host: opened.version };
  }

  private async dawnCard(): Promise<FoundCard | undefined> {
    // one that ends at its start has no card for us
    const opened = await this.dawn.open().catch(() => undefined);
    return opened?.facts && { facts: opened.facts, host: 'Dawn for Node' };
  }

  private codeOf(engine: EngineId): string {
    return engine === ENGINE ? this.server.engine : `${engine} ${this.server.cardEngine}`;
  }

  private get use(): BrowserUse {
    if (this.engine !== 'webgpu') return 'tracing';
    return this.settings.softwareCard ? 'software-card' : 'card';
  }

  /** A browser that has grown over a ceiling's share goes; the next take starts another. To weigh it takes 0.03 s. */
  private async makeRoom({ close }: TakeHost): Promise<void> {
    if (this.meters.size > 0 || this.settings.memory === undefined) return;
    this.household.look();
    if (this.household.crowded) await close();
  }

  private async open(use: BrowserUse): Promise<OpenBrowser> {
    if (this.closed) throw new Error('the tracer session is closed');
    const opened = await openBrowser({ ...this.settings, blank: this.server.blank, use });
    if (!opened.sandboxed && !this.toldUnsandboxed) this.settings.onUnsandboxed?.(opened.found.path);
    this.toldUnsandboxed ||= !opened.sandboxed;
    return opened;
  }
}
