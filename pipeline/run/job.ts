import type { Tracer } from '../tracer/tracer.ts';
import type { Report } from './events.ts';
import type { Hindrance } from './pauses.ts';
import { ShapeBench } from './shape-bench.ts';
import type { Survey } from './survey.ts';
import type { Workplace } from './workplace.ts';

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
  only?: (sku: string) => boolean;
  /** opened with the first take that has to be traced */
  openTracer: () => Promise<Tracer>;
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
  /** reasons to wait before a take begins, asked each time */
  hindrances?: readonly Hindrance[];
  /** when tracing ends: quality is lowered within bounds, then takes are left for another run */
  until?: Date;
}

/** One making of a catalogue: where it works, what it was asked for, and what could not be made. */
export class Job {
  readonly place: Workplace;
  readonly options: MakeOptions;
  readonly bench: ShapeBench;
  /** SKU → why */
  readonly failed = new Map<string, string>();
  /** whether something failed that may well succeed another time */
  retriable = false;
  /** papers for clients and the maker that were written or removed */
  papers = 0;
  /** names of takes for which there was no time */
  readonly left: string[] = [];
  #tracer: Promise<Tracer> | undefined;

  constructor(place: Workplace, options: MakeOptions) {
    this.place = place;
    this.options = options;
    const total = Object.keys(place.work.solids).length;
    const report: Report = (event) => {
      if (event.event === 'shape') place.costs.recordPieces('shape', event.seconds, 0);
      options.report(event);
    };
    this.bench = new ShapeBench(place.work, place.store, report, total);
  }

  wanted(sku: string): boolean {
    return this.options.only?.(sku) ?? true;
  }

  /** Whether a band is part of a wanted pair. */
  wantedInPair(sku: string): boolean {
    return this.place.work.plan.pairs.some(
      (p) => this.wanted(p.sku) && [p.left.sku, p.right.sku].includes(sku),
    );
  }

  /** The first reason stands. */
  fail(skus: readonly string[], reason: string): void {
    for (const sku of skus) if (this.wanted(sku) && !this.failed.has(sku)) this.failed.set(sku, reason);
  }

  /** The tracer, opened when it is first asked for. */
  tracer(): Promise<Tracer> {
    this.#tracer ??= this.options.openTracer();
    return this.#tracer;
  }

  async close(): Promise<void> {
    const tracer = await this.#tracer?.catch(() => undefined);
    this.#tracer = undefined;
    await tracer?.close();
  }
}
