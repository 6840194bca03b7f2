/** What is looked at while it is edited: the last good plan of the files, and what is wrong with their latest text. */
import { loadSky } from '../artefacts/film-store.ts';
import type { Plan, ShapeKey } from '../plan/plan.ts';
import { readPlan } from '../plan/read-plan.ts';
import type { CatalogueFiles } from '../plan/reading.ts';
import { type Problem, ProblemError } from '../problem.ts';
import type { SkyMap } from '../scene/sky-map.ts';
import { localeOf } from '../words/locale.ts';
import { bandTold } from './band-told.ts';
import type {
  EditAnswer,
  EditRequest,
  LookBand,
  LookOrders,
  LookState,
  LookView,
  ProofRequest,
  ViewChoice,
} from './contract.ts';
import { Edits } from './edits.ts';
import { FileWatch } from './file-watch.ts';
import { openOrders, orderBook } from './order-book.ts';
import type { ProofRuns } from './proof-run.ts';
import { revisionOf } from './revision.ts';
import { type MadeSolids, SolidsBench } from './solids-bench.ts';
import type { LookSource } from './source.ts';
import { Studios } from './studios.ts';
import { type Good, toldOf, yamlFiles } from './told-state.ts';
import { lookView, shownBands } from './views.ts';

/** ms for which a broken text is not told: an editor may be in the midst of writing it. */
const HALF_WRITTEN = 120;
/** Pictures whose solids are built before they are asked for: those of a page. */
const PICTURES = 2;

export interface LookOptions {
  readOnly: boolean;
  /** how a run with these flags is typed; none where nothing can be ordered */
  command?: (flags: readonly string[]) => string;
}

export class LookSession {
  /** @throws Error if the file can't be read at all */
  static async open(source: LookSource, options: LookOptions): Promise<LookSession> {
    const session = new LookSession(source, options);
    await session.read();
    return session;
  }

  private readonly source: LookSource;
  private readonly readOnly: boolean;
  private readonly command: LookOptions['command'];
  private readonly edits: Edits;
  private readonly bench = new SolidsBench();
  private readonly watch = new FileWatch(
    () => this.onSaved(),
    () => this.stir(true),
  );
  private readonly listeners = new Set<(state: LookState) => void>();
  private readonly stirListeners = new Set<(stirred: boolean) => void>();
  private stirred = false;
  private good: Good | undefined;
  private told: LookState | undefined;
  /** hashes of the texts that were read last */
  private texts = new Map<string, string>();
  /** what pages asked for last */
  private looked: ViewChoice[] = [];
  private reading: Promise<void> = Promise.resolve();
  /** the reading that comes after it */
  private next: Promise<void> | undefined;

  private constructor(source: LookSource, { readOnly, command }: LookOptions) {
    this.source = source;
    this.readOnly = readOnly;
    this.command = command;
    this.edits = new Edits({ readOnly });
  }

  get state(): LookState {
    if (!this.told) throw new Error('expected a session that has read its files');
    return this.told;
  }

  onChange(listener: (state: LookState) => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  /**
   * Told true as soon as a file is being saved: what is worked at meanwhile is likely in vain, and keeps its reading waiting.
   * A new state follows, or false where nothing has changed.
   */
  onStir(listener: (stirred: boolean) => void): () => void {
    this.stirListeners.add(listener);
    return () => this.stirListeners.delete(listener);
  }

  /** Starts what builds solids, for a page that is about to ask. */
  warm(): void {
    this.bench.warm();
  }

  /** Lets go of solids and threads; they come back when they are asked for. */
  async rest(): Promise<void> {
    await this.bench.close();
  }

  async close(): Promise<void> {
    this.watch.close();
    this.listeners.clear();
    this.stirListeners.clear();
    await this.bench.close();
  }

  /** @returns undefined for what isn't there to choose (any more) */
  async view(choice: ViewChoice): Promise<LookView | undefined> {
    const { good } = this;
    if (!good) return undefined;
    this.looked = [choice, ...this.looked.filter(({ sku }) => sku !== choice.sku)].slice(0, PICTURES);
    const studio = choice.studio === undefined ? undefined : await good.studios.find(choice.studio);
    const view = lookView(good.plan, choice, studio);
    return view && { version: this.state.version, ...view };
  }

  /** @throws ProblemError if the shape can't be built */
  async solids(shape: ShapeKey, draft: boolean): Promise<MadeSolids | undefined> {
    return this.good && this.solidsOf(this.good.plan, shape, draft);
  }

  /** What is told of a band; waits for its solids. @throws ProblemError if they can't be built */
  async band(sku: string): Promise<LookBand[] | undefined> {
    const { good } = this;
    const bands = good && shownBands(good.plan, sku)?.bands;
    if (!good || !bands) return undefined;
    const { plan, sources } = good;
    const told: LookBand[] = [];
    for (const band of bands) {
      const made = await this.bench.whole(band.shape, plan.shapes[band.shape], plan.limits);
      const facts = await made.facts;
      if (!facts) return undefined;
      told.push(bandTold(band, facts, plan, sources.get(band.sku)));
    }
    return told;
  }

  /** Writes an edit into the files; what it makes of the band is told like any other saved text. */
  async edit(request: EditRequest): Promise<EditAnswer> {
    const source = this.good?.sources.get(request.sku);
    if (!this.good || !source) return { done: false, problems: this.state.problems };
    const { plan } = this.good;
    const locale = localeOf(plan.language, plan.market);
    const orders = this.command && { configFile: this.source.configFile, plan };
    const answer = await this.edits.apply(request, { source, locale, orders });
    if (answer.done) await this.onSaved();
    return answer;
  }

  /** @returns undefined where nothing can be ordered. @throws ProblemError if the config can't be read */
  async orders(): Promise<LookOrders | undefined> {
    const { good, command, source } = this;
    if (!good || !command) return undefined;
    return orderBook(good.plan, await openOrders(source.configFile, source.files), command);
  }

  /** @returns `done` false where the table has changed or a run is under way */
  async makeProof({ line, draft, revision }: ProofRequest, runs: ProofRuns): Promise<{ done: boolean }> {
    const table = await this.orders();
    const told = this.good && table?.revision === revision && this.state.problems.length === 0;
    return { done: told === true && this.good !== undefined && runs.start(this.good.plan, line, draft) };
  }

  /** The decoded picture of a sky that some shot or studio of the plan has. */
  async sky(hash: string): Promise<SkyMap | undefined> {
    const { good } = this;
    if (!good) return undefined;
    const studios = [...good.plan.shots.map((s) => s.studio), ...(await good.studios.found())];
    const studio = studios.find((s) => s.sky?.hash === hash);
    const [take] = good.plan.takes;
    return studio && loadSky({ ...take, shot: { ...take.shot, studio } });
  }

  private solidsOf(plan: Plan, shape: ShapeKey, draft: boolean): Promise<MadeSolids> | undefined {
    const design = plan.shapes[shape];
    if (!design) return undefined;
    return draft
      ? this.bench.draft(shape, design, plan.limits)
      : this.bench.whole(shape, design, plan.limits);
  }

  /** Done once a text is read that is at least as new as this call: one that is saved meanwhile is read after it. */
  private onSaved(): Promise<void> {
    this.stir(true);
    this.next ??= this.reading
      .catch(() => {})
      .then(() => {
        this.next = undefined;
        this.reading = this.read().finally(() => {
          if (!this.next) this.stir(false);
        });
        return this.reading;
      });
    return this.next;
  }

  private stir(stirred: boolean): void {
    if (this.stirred === stirred) return;
    this.stirred = stirred;
    for (const listener of this.stirListeners) listener(stirred);
  }

  /** Reads everything anew; tells only what has changed. */
  private async read(): Promise<void> {
    // what the page wrote itself is heard of once more
    if (this.told?.problems.length === 0 && same(await this.textsNow(), this.texts)) return;
    const texts = new Map<string, string>();
    const files = this.recording(texts);
    try {
      const { plan, warnings, sources } = await readPlan(this.source.configFile, files);
      this.watch.follow([...texts.keys()]);
      if (this.good && same(texts, this.texts)) return;
      this.texts = texts;
      this.good = { plan, sources, warnings, studios: await Studios.of(this.source, plan) };
      this.bench.wantOnly(Object.keys(plan.shapes), plan.limits);
      this.foresee(plan);
      this.tell([]);
    } catch (error) {
      if (!(error instanceof ProblemError)) throw error;
      this.watch.follow([...texts.keys(), this.source.file]);
      if (this.told && same(texts, this.texts)) return;
      if (this.told && (await this.changesWithin(HALF_WRITTEN, texts))) return;
      this.texts = texts;
      this.tell([...error.problems]);
    }
  }

  /** Begins to build what pages will ask for once they have heard of a new text. */
  private foresee(plan: Plan): void {
    if (this.listeners.size === 0) return;
    const shapes = new Set(this.looked.flatMap((choice) => lookView(plan, choice, undefined)?.shapes ?? []));
    for (const shape of shapes) {
      // a page that asks is told what is wrong
      const draft = this.solidsOf(plan, shape, true)?.catch(() => {});
      // the first picture waits for nothing else: true solids would take half of the draft's time
      draft?.then(() => {
        if (this.good?.plan === plan) this.solidsOf(plan, shape, false)?.catch(() => {});
      });
    }
  }

  /** Whether the files are written again before long; `onSaved` then reads them. */
  private async changesWithin(ms: number, texts: ReadonlyMap<string, string>): Promise<boolean> {
    await new Promise((resolve) => setTimeout(resolve, ms));
    return this.next !== undefined || !same(await this.textsNow(texts), texts);
  }

  /** Hashes of these files' texts as they are now. */
  private async textsNow(of: ReadonlyMap<string, string> = this.texts): Promise<Map<string, string>> {
    const now = new Map<string, string>();
    const files = this.recording(now);
    for (const file of of.keys()) await files.read(file, 1e9).catch(() => undefined);
    return now;
  }

  /** The source's files, with a hash of every text that is read. */
  private recording(texts: Map<string, string>): CatalogueFiles {
    const { files, configFile, file: named } = this.source;
    return {
      ...files,
      read: async (file, most) => {
        const bytes = await files.read(file, most);
        // the config of a template alone stands in no file
        if (file !== configFile || file === named) texts.set(file, revisionOf(bytes));
        return bytes;
      },
    };
  }

  private tell(problems: Problem[]): void {
    const { good, told, texts, readOnly } = this;
    const version = (told?.version ?? 0) + 1;
    this.told = { version, readOnly, files: yamlFiles(texts), problems, ...toldOf(good) };
    // whoever hears of a state knows that all is read
    this.stirred = false;
    for (const listener of this.listeners) listener(this.told);
  }
}

function same(a: ReadonlyMap<string, string>, b: ReadonlyMap<string, string>): boolean {
  return a.size === b.size && [...a].every(([file, hash]) => b.get(file) === hash);
}
