import type { RunEvent } from '../artefacts/events.ts';
import type { Fault, RunRecord, ShapeSpan, TakeEnd, TakeSpan } from '../papers/run-record.ts';
import { Pace } from './pace.ts';

/** An event and when it was told, ms since 1970. */
export interface TimedEvent {
  time: number;
  event: RunEvent;
}

/** What events do not tell of a run. */
export type RunAbout = Pick<
  RunRecord,
  | 'catalogue'
  | 'title'
  | 'share'
  | 'workers'
  | 'version'
  | 'started'
  | 'ended'
  | 'exit'
  | 'problem'
  | 'command'
  | 'rerun'
  | 'machine'
  | 'peakMemory'
> & {
  /** SKU → why, of what failed without an event of its own */
  failed?: ReadonlyMap<string, string>;
};

/** Warnings and faults told in full; a broken disk can fail a hundred thousand. */
const MOST = 500;

/** The record of a run from its events. */
export function recordOf(events: Iterable<TimedEvent>, about: RunAbout): RunRecord {
  const log = new RunLog();
  for (const { time, event } of events) log.add(event, time);
  return log.record(about);
}

/** Gathers events as they come, so that a night of progress is not held. */
export class RunLog {
  /** whether anything was begun */
  begun = false;
  readonly #pace = new Pace();
  readonly #takes: TakeSpan[] = [];
  /** by the take's id */
  readonly #latest = new Map<string, TakeSpan>();
  #open: TakeSpan | undefined;
  readonly #shapes: ShapeSpan[] = [];
  readonly #encodes: number[] = [];
  readonly #faults: Fault[] = [];
  readonly #warnings = new Set<string>();
  readonly #files: RunRecord['files'] = { models: 0, parts: 0, sheets: 0, proofs: 0, at: [] };
  #planned: Extract<RunEvent, { event: 'planned' }> | undefined;
  #done: Extract<RunEvent, { event: 'done' }> | undefined;
  #lowered: RunRecord['lowered'];
  #engines: RunRecord['engines'];
  #left: string[] = [];
  #checks: RunRecord['checks'] = [];
  #heldBack: RunRecord['heldBack'] = [];
  #peak = 0;
  readonly #pauses: RunRecord['pauses'] = { times: 0, seconds: 0 };

  add(event: RunEvent, time: number): void {
    if (event.event !== 'waiting') this.begun = true;
    this.#addTake(event, time);
    switch (event.event) {
      case 'planned':
        this.#planned = event;
        break;
      case 'shape': {
        const { shape, triangles, stones } = event;
        this.#shapes.push({ shape, from: time - 1000 * event.seconds, to: time, triangles, stones });
        break;
      }
      case 'encoded':
        this.#encodes.push(time - 1000 * event.seconds, time);
        break;
      case 'model':
      case 'part':
      case 'sheet':
      case 'proof':
        this.#file(`${event.event}s`, time);
        break;
      case 'shape-failed':
        this.#fault('shape', '', event.skus, event.problems.join('\n'));
        break;
      case 'take-quarantined':
        this.#fault('quarantine', event.label, event.skus, event.reason);
        break;
      case 'part-failed':
        this.#fault('part', event.part, event.skus, event.problems.join('\n'));
        break;
      case 'sheet-failed':
        this.#fault('sheet', event.sku, [event.sku], event.reason);
        break;
      case 'warning':
        if (this.#warnings.size < MOST) this.#warnings.add(withoutSecrets(event.message));
        break;
      case 'resumed':
        this.#pauses.times++;
        this.#pauses.seconds += event.seconds;
        this.#pace.rest(1000 * event.seconds);
        break;
      case 'lowered':
        this.#lowered = { asked: event.asked, noise: event.noise };
        break;
      case 'left':
        this.#left = event.takes;
        break;
      case 'engines':
        this.#engines = { cpu: event.cpu, gpu: event.gpu };
        break;
      case 'checks':
        this.#checks = event.tallies;
        this.#heldBack = event.held;
        break;
      case 'done':
        this.#done = event;
        break;
    }
  }

  #addTake(event: RunEvent, time: number): void {
    switch (event.event) {
      case 'take-start': {
        const { label, colourways, noise: asked, predictedSeconds: foretold } = event;
        const take = { label, colourways, asked, foretold, from: time, to: time, passes: 0, reached: 0 };
        this.#open = { ...take, end: 'stopped', retries: [] };
        this.#takes.push(this.#open);
        this.#latest.set(event.take, this.#open);
        this.#pace.begin(time);
        break;
      }
      case 'take-progress': {
        const { passes, error } = event;
        Object.assign(this.#latest.get(event.take) ?? {}, { passes, reached: error ?? 0, to: time });
        this.#peak = Math.max(this.#peak, event.memory ?? 0);
        break;
      }
      case 'take-done': {
        const { passes, error } = event;
        Object.assign(this.#latest.get(event.take) ?? {}, { passes, reached: error, to: time, end: 'made' });
        this.#pace.done(time);
        this.#open = undefined;
        break;
      }
      case 'take-retry':
        this.#latest.get(event.take)?.retries.push(withoutSecrets(event.reason));
        break;
      case 'take-failed': {
        const take = this.#latest.get(event.take);
        Object.assign(take ?? {}, { to: time, end: 'failed' });
        this.#fault('take', take?.label ?? event.take, event.skus, event.reason);
        this.#open = undefined;
        break;
      }
    }
  }

  #file(kind: 'models' | 'parts' | 'sheets' | 'proofs', time: number): void {
    this.#files[kind]++;
    this.#files.at.push(time);
  }

  #fault(kind: Fault['kind'], name: string, skus: readonly string[], reason: string): void {
    this.#faults.push({ kind, name, skus: [...skus], reason: withoutSecrets(reason) });
  }

  /** The run as it stands, ended as told. */
  record({ failed, problem, ...about }: RunAbout): RunRecord {
    const planned = this.#planned;
    const told = new Set(this.#faults.flatMap((f) => f.skus));
    const others = [...(failed ?? [])].filter(([sku]) => !told.has(sku));
    const traced = (end: TakeEnd) => this.#takes.filter((t) => t.end === end).length;
    const left = new Set(this.#left);
    const takes = this.#takes.map((take) => {
      const to = take === this.#open ? about.ended : take.to;
      // a take that its run's end came over
      return take.end === 'stopped' && left.has(take.label)
        ? { ...take, end: 'left' as const }
        : { ...take, to };
    });
    return {
      ...about,
      ...(problem === undefined ? {} : { problem: withoutSecrets(problem) }),
      ...(this.#peak > 0 ? { peakWithBrowser: this.#peak } : {}),
      ...(planned ? { planned: plannedOf(planned) } : {}),
      held: {
        shapes: planned ? planned.shapes - planned.toBuild : 0,
        takes: planned ? planned.takes - planned.toTrace : 0,
        pictures: planned ? planned.pictures - planned.toEncode : 0,
      },
      ...(this.#done ? { made: this.#done.made } : {}),
      failed: this.#done?.failed ?? [...(failed?.keys() ?? [])],
      faults: [
        ...this.#faults,
        ...others.map(
          ([sku, why]): Fault => ({ kind: 'other', name: sku, skus: [sku], reason: withoutSecrets(why) }),
        ),
      ],
      upToDate: this.#done?.upToDate ?? false,
      bytes: this.#done?.bytes ?? 0,
      shapes: this.#shapes,
      takes,
      takesPerHour: traced('made') > 0 ? this.#pace.perHour : 0,
      pauses: this.#pauses,
      encodes: this.#encodes,
      files: this.#files,
      left: this.#left,
      ...(this.#lowered ? { lowered: this.#lowered } : {}),
      ...(this.#engines ? { engines: this.#engines } : {}),
      checks: this.#checks,
      heldBack: this.#heldBack,
      warnings: [...this.#warnings],
    };
  }
}

function plannedOf({
  variants,
  pairs,
  shapes,
  takes,
  pictures,
}: Extract<RunEvent, { event: 'planned' }>): RunRecord['planned'] {
  return { variants, pairs, shapes, takes, pictures };
}

/** A text from elsewhere with user and password of every address left out. */
export function withoutSecrets(text: string): string {
  return text.replace(/(\b[a-z][a-z0-9+.-]*:\/\/)[^\s/]*@/gi, '$1…@');
}
