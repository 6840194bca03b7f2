import type { AnyKind, Kind, Planning } from '../artefacts/kind.ts';
import { KINDS } from '../artefacts/kinds.ts';
import type { Plan, TakePlan } from '../plan/plan.ts';
import type { ArtefactName } from '../store/artefact-store.ts';
import { ENGINE, type EngineId } from '../tracer/tracer.ts';

/** A plan with the pieces that it asks for, kind by kind, each with its content keys. */
export interface Work {
  plan: Plan;
  /** what takes are traced with that have no films yet */
  engine: EngineId;
  versions: Readonly<Record<string, string>>;
  pieces<P>(kind: Kind<P>): readonly P[];
}

/** Settings of one run that decide content. */
export interface WorkOptions {
  /** kind → identity of its code */
  versions: Readonly<Record<string, string>>;
  /** hash of each logo file, by its path */
  logos: ReadonlyMap<string, string>;
  engine?: EngineId;
  /** whose films a take has; those of `engine` unless given */
  engineOf?: (take: TakePlan) => EngineId;
  /** on a take's noise target; 1 unless given */
  noiseFactor?: (take: TakePlan) => number;
}

/**
 * Works out every content key without building anything: keys come from inputs and versions of the code alone,
 * so asking what is cached costs milliseconds.
 */
export function planWork(plan: Plan, options: WorkOptions): Work {
  const { versions, logos, engine = ENGINE, engineOf = () => engine, noiseFactor = () => 1 } = options;
  const all = new Map<AnyKind, readonly unknown[]>();
  const pieces = <P>(kind: Kind<P>) => {
    const planned = all.get(kind);
    if (!planned) throw new RangeError(`pieces of ${kind.name} are asked for before they are planned`);
    return planned as readonly P[];
  };
  const noise = (take: TakePlan) => plan.quality.noise * noiseFactor(take);
  const planning: Planning = { plan, versions, logos, engineOf, noise, pieces };
  for (const kind of KINDS) all.set(kind, kind.plan(planning));
  return { plan, engine, versions, pieces };
}

/** Everything of the store that a plan's catalogue is made from, as far as that is known before it is made. */
export function artefactsOf({ pieces }: Work): ArtefactName[] {
  return [...new Set(KINDS.flatMap((kind) => pieces(kind).flatMap((piece) => kind.uses?.(piece) ?? [])))];
}
