import type { PieceCost } from '../artefacts/kind.ts';
import { PIECE_COSTS } from '../artefacts/kinds.ts';
import type { Plan, TakePlan } from '../plan/plan.ts';
import { writeDurably } from '../store/durable-file.ts';
import { readOwnSync } from '../store/own-file.ts';
import { usableCores } from '../tracer/cores.ts';
import { MIN_SAMPLES } from '../tracer/stop-rule.ts';
import type { TraceResult } from '../tracer/tracer.ts';
import { FIRST_SET_UP, firstGuess } from './first-guesses.ts';
import { isBare, type TakeTraits } from './take-traits.ts';
import { askedBy, colourwayFactor, demandOf, pixelsOf, rawShare, traitsOf } from './take-work.ts';

/**
 * What takes and pieces will cost, from what they cost on this machine before. Takes are measured in processor time,
 * which other work on the machine hardly changes, and forecast in seconds of the clock on a machine that has nothing else
 * to do. What is learnt is how a take compares with the first guess of its like (`take-work.ts`); so one take of one
 * view says something of all the others.
 */

/** One take as it was traced. */
export interface TakeMeasure extends TakeTraits {
  /** identity of the code that traced it */
  engine: string;
  /** samples a pixel, in the mean and at most */
  samples: number;
  passes: number;
  /** of a film that will be filtered */
  noise: number;
  passCap: number;
  /** seconds of processor time a path, for one colourway, and before the first */
  perPath: number;
  setUp: number;
}

export interface CostTable {
  version: 3;
  /** oldest first */
  takes: TakeMeasure[];
  /** of what is made beside pictures, one piece of each kind; smoothed over pieces */
  pieces?: Record<string, PieceCost & { pieces: number }>;
}

/** Takes of one engine and like traits that are remembered: enough for a median, few enough to follow a new machine. */
const REMEMBERED = 9;

/** What decides a forecast beside takes and what was measured. */
export interface Circumstances {
  /** most samples a pixel */
  passCap: number;
  /** identity of the code that traces */
  engine: string;
  /** that trace at once; one per core unless given */
  workers?: number;
  /** pictures show raw films; filtered ones unless given */
  raw?: boolean;
  /** of the plan: stones with corners and worked metal are noisier */
  designs?: Plan['shapes'];
}

/** Seconds of processor time of a megapixel in one colourway, by one take. */
export function megapixelSeconds(take: TakeMeasure, noise: number, passCap: number): number {
  return 1e6 * paceOf(take) * askedBy(firstGuess(take), demandFrom(take), noise, passCap).seconds;
}

/** Where nothing but pieces is asked for. */
const ANYWHERE: Circumstances = { passCap: Number.POSITIVE_INFINITY, engine: '' };

export class Costs {
  readonly #file: string;
  readonly #table: CostTable;
  readonly #at: Circumstances;
  /** by kind; a night has thousands of takes, and each is foretold many times */
  readonly #known = new Map<string, Learnt>();
  #unsaved = false;

  /** Reads the table of earlier runs; a missing, unreadable or older one is an empty one. */
  constructor(file: string, at: Circumstances = ANYWHERE) {
    this.#file = file;
    this.#table = readTable(file);
    this.#at = at;
  }

  /** Predicted seconds of tracing, by the clock of a machine whose cores are all the tracer's. */
  predict(take: TakePlan, noise: number): number {
    const { setUp, tracing } = this.processor(take, noise);
    return setUp + tracing / this.workers;
  }

  /** Predicted samples a pixel, and seconds of processor time: beside paths, and of all paths on all workers together. */
  processor(take: TakePlan, noise: number): { samples: number; setUp: number; tracing: number } {
    const traits = traitsOf(take, this.#at.designs);
    const guess = firstGuess(traits);
    const { demand, pace, setUp } = this.#learnt(traits);
    const { samples, seconds } = askedBy(guess, demand, this.#judged(noise, traits), this.#at.passCap);
    const tracing = pixelsOf(take) * pace * seconds * colourwayFactor(take.colourways.length);
    return { samples, setUp, tracing };
  }

  /** The noise of a film that will be filtered which asks for as many samples. */
  #judged(noise: number, traits: TakeTraits): number {
    return this.#at.raw ? noise * rawShare(traits) : noise;
  }

  #learnt(traits: TakeTraits): Learnt {
    const kind = kindOf(traits);
    let learnt = this.#known.get(kind);
    if (!learnt) {
      const ours = this.#ours();
      // noise of metal says nothing of stones, and that of one view only half of another's: a band may hide its stones
      const scenes = byKind(this.#table.takes.filter((t) => isBare(t.stones) === isBare(traits.stones)));
      const machine = byKind(ours);
      learnt = {
        demand: within(spanIn(scenes.get(kind) ?? []), Math.sqrt(over(scenes, demandIn) ?? 1)),
        pace: paceIn(machine.get(kind) ?? []) ?? over(machine, paceIn) ?? 1,
        setUp: median(ours.map((t) => t.setUp)) ?? FIRST_SET_UP,
      };
      this.#known.set(kind, learnt);
    }
    return learnt;
  }

  get workers(): number {
    return this.#at.workers ?? usableCores();
  }

  /** true once at least one take was measured on this machine */
  get measured(): boolean {
    return this.#table.takes.length > 0;
  }

  /** Learns from a take that was traced; from one without a sample for each pixel there is nothing to learn. */
  record(
    take: TakePlan,
    noise: number,
    { paths, passes, seconds, processor }: Pick<TraceResult, 'paths' | 'passes' | 'seconds' | 'processor'>,
  ): void {
    const pixels = pixelsOf(take);
    if (paths < pixels) return;
    const traits = traitsOf(take, this.#at.designs);
    const { passCap, engine } = this.#at;
    // where nobody tells of processor time the clock does, at most so wrong as others kept the machine busy
    const perPath = processor?.perPath ?? (seconds * this.workers) / paths;
    this.#table.takes.push({
      ...traits,
      engine,
      samples: paths / pixels,
      passes,
      noise: this.#judged(noise, traits),
      passCap,
      perPath: perPath / colourwayFactor(take.colourways.length),
      setUp: processor?.setUp ?? FIRST_SET_UP,
    });
    const kind = kindOf(traits);
    const alike = this.#table.takes.filter((t) => t.engine === engine && kindOf(t) === kind);
    if (alike.length > REMEMBERED) this.#table.takes.splice(this.#table.takes.indexOf(alike[0]), 1);
    this.#known.clear();
  }

  /** Takes of this engine; until there are any those of the last one, since most engines are much like the one before. */
  #ours(): TakeMeasure[] {
    const { takes } = this.#table;
    const of = (engine?: string) => takes.filter((t) => t.engine === engine);
    const own = of(this.#at.engine);
    return own.length > 0 ? own : of(takes.at(-1)?.engine);
  }

  /** what one piece costs: as measured here, or a first guess */
  piece(kind: string): PieceCost & { measured: boolean } {
    const known = this.#table.pieces?.[kind];
    const guess = PIECE_COSTS.get(kind)?.guess ?? { seconds: 0, bytes: 0 };
    return { ...(known ?? guess), measured: known !== undefined };
  }

  /** Notes what `count` pieces cost together. */
  recordPieces(kind: string, seconds: number, bytes: number, count = 1): void {
    if (count === 0) return;
    const old = this.#table.pieces?.[kind];
    const pieces = (old?.pieces ?? 0) + count;
    const weight = Math.max(count / pieces, 0.2);
    const mixed = (before: number | undefined, now: number) =>
      before === undefined ? now : before * (1 - weight) + now * weight;
    this.#table.pieces = {
      ...this.#table.pieces,
      [kind]: {
        seconds: mixed(old?.seconds, seconds / count),
        bytes: mixed(old?.bytes, bytes / count),
        pieces,
      },
    };
    this.#unsaved = true;
  }

  /** Makes a piece and notes what it cost, if anything came of it. */
  async timed<T extends Uint8Array | undefined>(kind: string, make: () => Promise<T>): Promise<T> {
    const start = performance.now();
    const made = await make();
    if (made) this.recordPieces(kind, (performance.now() - start) / 1000, made.length);
    return made;
  }

  /** Saves what was noted of pieces since the last time. */
  async savePieces(): Promise<void> {
    if (this.#unsaved) await this.save();
  }

  async save(): Promise<void> {
    this.#unsaved = false;
    await writeDurably(this.#file, `${JSON.stringify(this.#table, null, 2)}\n`);
  }
}

/** What takes of one kind have taught, against the first guess. */
interface Learnt {
  /** for samples: it multiplies the variances */
  demand: number;
  /** processor time of a path in units of the guess */
  pace: number;
  /** seconds of processor time */
  setUp: number;
}

const kindOf = ({ view, ground, stones }: TakeTraits) => `${view} ${ground} ${stones}`;

/** A law at the demand and the noise of the take, by which only its noisy tiles were traced to the end. */
function paceOf(take: TakeMeasure): number {
  const { samples, seconds } = askedBy(firstGuess(take), demandFrom(take), take.noise, take.passCap);
  return take.perPath / (seconds / samples);
}

const paceIn = (alike: readonly TakeMeasure[]) => median(alike.map(paceOf));

const demandFrom = (t: TakeMeasure) => demandOf(firstGuess(t), t.samples, t.noise, t.passCap);

/** What takes of a kind told of its demand, which is the scene's and neither the engine's nor the machine's. */
interface DemandSpan {
  /** of takes whose tiles stopped where they had enough */
  told?: number;
  /** what the cap has stopped would have gone on */
  least: number;
  /** takes whose tiles all had the least number of samples may have asked for as little as nothing */
  most: number;
}

function spanIn(alike: readonly TakeMeasure[]): DemandSpan {
  const stopped = (t: TakeMeasure) => t.passes >= t.passCap;
  const idle = (t: TakeMeasure) => !stopped(t) && t.samples < MIN_SAMPLES * BARELY_MORE;
  const mostFrom = (t: TakeMeasure) => demandOf(firstGuess(t), t.samples * BARELY_MORE, t.noise, t.passCap);
  return {
    told: median(alike.filter((t) => !stopped(t) && !idle(t)).map(demandFrom)),
    least: median(alike.filter(stopped).map(demandFrom)) ?? 0,
    most: median(alike.filter(idle).map(mostFrom)) ?? Number.POSITIVE_INFINITY,
  };
}

const BARELY_MORE = 1.001;

function within({ told, least, most }: DemandSpan, guess: number): number {
  return Math.max(Math.min(told ?? guess, most), least);
}

/** None where takes told no more than that the first guess may be right. */
function demandIn(alike: readonly TakeMeasure[]): number | undefined {
  const span = spanIn(alike);
  const demand = within(span, 1);
  return span.told === undefined && demand === 1 ? undefined : demand;
}

function byKind(takes: readonly TakeMeasure[]): Map<string, TakeMeasure[]> {
  const kinds = new Map<string, TakeMeasure[]>();
  for (const take of takes) kinds.set(kindOf(take), [...(kinds.get(kindOf(take)) ?? []), take]);
  return kinds;
}

/** The median over kinds of take, each of which counts once. */
function over(
  kinds: ReadonlyMap<string, TakeMeasure[]>,
  of: (alike: readonly TakeMeasure[]) => number | undefined,
): number | undefined {
  return median([...kinds.values()].flatMap((alike) => of(alike) ?? []));
}

function median(numbers: readonly number[]): number | undefined {
  const sorted = [...numbers].sort((a, b) => a - b);
  const middle = (sorted.length - 1) / 2;
  return sorted.length > 0 ? (sorted[Math.floor(middle)] + sorted[Math.ceil(middle)]) / 2 : undefined;
}

function readTable(file: string): CostTable {
  try {
    const table = JSON.parse(String(readOwnSync(file))) as CostTable;
    if (table.version === 3 && Array.isArray(table.takes)) return table;
  } catch {
    // no measurements yet, or a file cut off: start afresh
  }
  return { version: 3, takes: [] };
}
