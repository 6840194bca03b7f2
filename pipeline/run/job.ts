import { join } from 'node:path';
import type { Report } from '../artefacts/events.ts';
import type { Making, Source } from '../artefacts/kind.ts';
import { KINDS } from '../artefacts/kinds.ts';
import { Records } from '../artefacts/records.ts';
import type { BandSource } from '../plan/band-source.ts';
import type { Sku } from '../plan/plan.ts';
import { bandsOfPair } from '../plan/variant.ts';
import type { EngineId, Tracer } from '../tracer/tracer.ts';
import type { Hindrance } from './pauses.ts';
import { ShapeBench } from './shape-bench.ts';
import type { Survey } from './survey.ts';
import type { Workplace, WorkplaceOptions } from './workplace.ts';

export interface Elsewhere {
  /** resolves when everything that can be made elsewhere is in the store */
  fill(job: Job, survey: Survey): Promise<void>;
  /** why a take is not in the store after all */
  lacking: string;
}

export interface MakeOptions {
  /** folder that holds catalogues and the store */
  out: string;
  /** which SKUs to make; all unless given */
  only?: (sku: Sku) => boolean;
  /** opened with the first take that has to be traced */
  openTracer: () => Promise<Tracer>;
  /** the tracer stays open when the job ends: whoever opens it closes it */
  keepTracer?: boolean;
  report: Report;
  /** asks the run to end: what is being encoded, stored or published is finished, nothing further is begun */
  signal: AbortSignal;
  /** wait for another run on the same folder instead of refusing */
  wait?: boolean;
  /** try takes that are in quarantine */
  retry?: boolean;
  /** makes takes on other machines; what is still to be traced afterwards is left out and not traced here */
  elsewhere?: Elsewhere;
  /** ms before a failed take is tried again, four times as long the next time; 500 unless given */
  backoffMs?: number;
  /** that trace at once, for forecasts; one per core unless given */
  workers?: number;
  /** where bands are written, by SKU: so that what can't be built is told with its place */
  sources?: ReadonlyMap<string, BandSource>;
  /** what is traced with, which the tracer must be; the processor unless given */
  tracedBy?: EngineId;
  /** films that another engine has made serve as well */
  anyEngine?: boolean;
  /** reasons to wait before a take begins, asked each time */
  hindrances?: readonly Hindrance[];
  /** when tracing ends: quality is lowered within bounds, then takes are left for another run */
  until?: Date;
}

/** What of them a workplace is opened with. */
export const placeOptions = ({ workers, tracedBy, anyEngine }: MakeOptions): WorkplaceOptions => ({
  ...{ workers, engine: tracedBy, anyEngine },
});

/** One making of a catalogue: where it works, what it was asked for, and what could not be made. */
export class Job {
  readonly place: Workplace;
  readonly options: MakeOptions;
  readonly bench: ShapeBench;
  readonly records: Records;
  /** SKU, or the name of a paper → why */
  readonly failed = new Map<string, string>();
  /** whether something failed that may well succeed another time */
  retriable = false;
  /** papers for clients and the maker that were written or removed */
  papers = 0;
  /** names of takes for which there was no time */
  readonly left: string[] = [];
  readonly #told = new Set<string>();
  #tracer: Promise<Tracer> | undefined;

  constructor(place: Workplace, options: MakeOptions) {
    this.place = place;
    this.options = options;
    this.records = new Records(place.store);
    const report: Report = (event) => {
      if (event.event === 'shape') place.costs.recordPieces('shape', event.seconds, 0);
      options.report(event);
    };
    this.bench = new ShapeBench(place.work, place.store, report, options.sources);
  }

  /** What the catalogue is published from. */
  source(): Source {
    const { work, store } = this.place;
    const { plan, versions, pieces } = work;
    return { plan, versions, pieces, store, records: this.records, kinds: KINDS };
  }

  /** What its pieces are made with. */
  making(): Making {
    const { costs, watermark, ownWatermarks, logo, work } = this.place;
    const { out, report, signal, only } = this.options;
    return {
      ...this.source(),
      catalogueFolder: join(out, work.plan.catalogue),
      bench: this.bench,
      tracer: () => this.tracer(),
      report,
      warnOnce: (message) => this.#warnOnce(message),
      signal,
      only,
      wanted: (sku) => this.wanted(sku),
      fail: (skus, reason, mayPass) => this.fail(skus, reason, mayPass),
      failPaper: (name, reason) => this.failed.set(name, reason),
      costs,
      watermark,
      ownWatermarks,
      logo,
    };
  }

  wanted(sku: Sku): boolean {
    return this.options.only?.(sku) ?? true;
  }

  /** Whether a band is part of a wanted pair. */
  wantedInPair(sku: Sku): boolean {
    return this.place.work.plan.pairs.some(
      (p) => this.wanted(p.sku) && bandsOfPair(p).some((b) => b.sku === sku),
    );
  }

  /** The first reason stands. `mayPass`: it may well succeed another time */
  fail(skus: readonly Sku[], reason: string, mayPass = false): void {
    for (const sku of skus) if (this.wanted(sku) && !this.failed.has(sku)) this.failed.set(sku, reason);
    this.retriable ||= mayPass;
  }

  #warnOnce(message: string): void {
    if (this.#told.has(message)) return;
    this.#told.add(message);
    this.options.report({ event: 'warning', message });
  }

  /** The tracer, opened when it is first asked for. */
  tracer(): Promise<Tracer> {
    this.#tracer ??= this.options.openTracer();
    return this.#tracer;
  }

  /** Ends the tracer, unless it belongs to whoever began this. */
  async close(): Promise<void> {
    if (this.options.keepTracer) return;
    const tracer = await this.#tracer?.catch(() => undefined);
    this.#tracer = undefined;
    await tracer?.close();
  }
}
