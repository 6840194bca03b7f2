/**
 * The contract of a kind of artefact: what a catalogue is made of, each kind in a file of its own. A kind says what it
 * needs of the plan, under which keys, how it is made, foretold and published; `run/` does all of it in loops over the
 * list in `kinds.ts`: what is traced first, take by take, what hangs on a take beside the next one, and then the rest.
 */

import type { BuiltShape } from '../band/built-shape.ts';
import type { BandFacts } from '../facts/catalogue-schema.ts';
import type { Logo } from '../picture/logo.ts';
import type { Watermark } from '../picture/watermark.ts';
import type { Plan, ShapeKey, Sku, TakePlan, Variant, WatermarkPlan } from '../plan/plan.ts';
import type { Problem } from '../problem.ts';
import type { CatalogueMeta } from '../publish/catalogue.ts';
import type { ArtefactName, ArtefactStore } from '../store/artefact-store.ts';
import type { ContentKey } from '../store/content-key.ts';
import type { EngineId, Tracer } from '../tracer/tracer.ts';
import type { Report } from './events.ts';
import type { Records } from './records.ts';

export interface Kind<P = unknown> {
  name: string;
  /**
   * modules whose use makes it, relative to `pipeline/`; what they import is found by itself. None where the key holds all
   * that decides the bytes
   */
  code: readonly string[];
  /** a compiled file that makes it too: its bytes count */
  compiled?(): Promise<string>;
  /** one piece for each thing that is made by itself, in the order of making. Builds and reads nothing */
  plan(planning: Planning): P[];
  /** those whose wanting makes it wanted; it is wanted with a pair of such bands too */
  skus?(piece: P, plan: Plan): readonly Sku[];
  /** key of the record of the take with which a share makes it; others are dealt out in turn */
  take?(piece: P): ContentKey;
  /** when it is made: by tracing; beside the tracer, as soon as its take is traced; or when all takes are done */
  order?: 'traced' | 'after-its-take';
  /** whether shares make it too; the machine that publishes makes what they don't */
  shared?: boolean;
  /** everything of the store that it is or that belongs to it: clearing spares it while a catalogue uses it */
  uses?(piece: P): readonly ArtefactName[];
  /** what of the store its piece for a band is, where keys follow from facts */
  usesOf?(facts: BandFacts, source: Source): readonly ArtefactName[];
  /** whether it must be made: any of what it uses is not there, unless it says otherwise */
  lacking?(piece: P, look: Look): Promise<boolean>;
  /** what it is made from of the store, that must be there for that alone */
  from?(piece: P): readonly ArtefactName[];
  /** Makes what is lacking of it, puts it into the store, and tells. What cannot be made fails its SKUs and no more. */
  make?(piece: P, making: Making): Promise<void>;
  /** what of it is counted, timed and foretold, each under a name of its own */
  costs?: readonly PieceCostKind<P>[];
  /** how many are there, where that does not follow from `lacking` */
  there?(pieces: readonly P[], look: Foresight): Promise<number>;
  /** what a catalogue tells of a band by it */
  tell?(band: Variant, source: Source): Promise<Partial<BandFacts>>;
  /** its part of the published catalogue, out of what the store holds */
  publish?(source: Source): Promise<Partial<CatalogueMeta>>;
  /** Lays its files into the private folder, or clears them there. @returns names that were written or removed */
  lay?(making: Making): Promise<readonly string[]>;
  /** refuses what cannot be made before anything is. @returns warnings. @throws ProblemError */
  prove?(planning: Planning & { catalogueFolder: string }): Promise<Problem[]>;
}

// biome-ignore lint/suspicious/noExplicitAny: a list of kinds holds each with its own pieces
export type AnyKind = Kind<any>;

export interface PieceCost {
  seconds: number;
  bytes: number;
}

export interface PieceCostKind<P> {
  name: string;
  /** as forecasts call many of it; told by another line if absent */
  label?: string;
  /** before any was measured: the demo and its like, on two cores of a shared EPYC server */
  guess: PieceCost;
  /** how often its bytes lie on the disk: in the store, in the catalogue, in base64 for the page */
  copies: number;
  /** how many of it a piece is; one unless given */
  count?(piece: P, plan: Plan): number;
}

/** What pieces are planned from. */
export interface Planning {
  plan: Plan;
  /** kind → identity of its code */
  versions: Readonly<Record<string, string>>;
  /** hash of each logo file, by its path */
  logos: ReadonlyMap<string, string>;
  /** whose films a take has */
  engineOf(take: TakePlan): EngineId;
  /** noise target of a take */
  noise(take: TakePlan): number;
  /** those of a kind that stands before in the list */
  pieces<P>(kind: Kind<P>): readonly P[];
}

/** Asking what the store holds, as often as one likes. */
export interface Look {
  store: ArtefactStore;
  has(name: ArtefactName): Promise<boolean>;
  /** whether something that must be made is made from it */
  asked(name: ArtefactName): boolean;
}

/** What a forecast of what is there may look at. */
export interface Foresight extends Look {
  plan: Plan;
  catalogueFolder: string;
  /** what of the store the catalogue was last published with */
  published: readonly ArtefactName[];
  /** whether a shape's facts must be made anew */
  lacksShape(shape: ShapeKey): boolean;
}

/** A plan's pieces with the store that holds them. */
export interface Source {
  plan: Plan;
  versions: Readonly<Record<string, string>>;
  store: ArtefactStore;
  /** what was read of the store in this round */
  records: Records;
  kinds: readonly AnyKind[];
  pieces<P>(kind: Kind<P>): readonly P[];
}

/** What pieces are made with. */
export interface Making extends Source {
  /** the catalogue's; the private folder stands beside it */
  catalogueFolder: string;
  bench: { get(shape: ShapeKey): Promise<BuiltShape | undefined> };
  /** opened when it is first asked for */
  tracer(): Promise<Tracer>;
  report: Report;
  /** a warning that many pieces may give and that is told once */
  warnOnce(message: string): void;
  signal: AbortSignal;
  /** undefined: all are */
  only?: (sku: Sku) => boolean;
  wanted(sku: Sku): boolean;
  /** `mayPass`: it may well succeed another time. The first reason stands */
  fail(skus: readonly Sku[], reason: string, mayPass?: boolean): void;
  /** a paper that no SKU stands for */
  failPaper(name: string, reason: string): void;
  costs: {
    /** Makes a piece and notes what it cost, if anything came of it. */
    timed<T extends Uint8Array | undefined>(name: string, make: () => Promise<T>): Promise<T>;
    recordPieces(name: string, seconds: number, bytes: number, count?: number): void;
  };
  watermark?: Watermark;
  /** of outputs that have their own */
  ownWatermarks: ReadonlyMap<WatermarkPlan, Watermark>;
  /** of proofs */
  logo?: Logo;
}
