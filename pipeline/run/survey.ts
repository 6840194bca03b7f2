import pLimit from 'p-limit';
import { FILM, type TakeInputs, type TakeWork, takeName } from '../artefacts/film.ts';
import { grouped } from '../artefacts/grouped.ts';
import type { AnyKind, Kind, Look } from '../artefacts/kind.ts';
import { KINDS } from '../artefacts/kinds.ts';
import { PICTURE } from '../artefacts/picture.ts';
import { type Quarantine, quarantineOf, quarantineWording } from '../artefacts/quarantine.ts';
import { SOLID } from '../artefacts/solid.ts';
import type { ShapeKey } from '../plan/plan.ts';
import type { ArtefactName, ArtefactStore } from '../store/artefact-store.ts';
import type { ContentKey } from '../store/content-key.ts';
import type { Work } from './work.ts';

/** What of a take is in the store and what is still to do, with the reason. */
export interface TakeStatus {
  work: TakeWork;
  /** films of some colourways are missing: the take has to be traced */
  trace: boolean;
  /** what is to be made of its films, all of it if it is traced */
  next: readonly NextPiece[];
  /** why there is something to do; empty if nothing is */
  reason: string;
  /** it failed too often and is left alone */
  quarantine?: Quarantine;
}

/** A piece of a kind that is made as soon as its take is traced. */
export interface NextPiece {
  kind: AnyKind;
  piece: unknown;
}

/** Kinds that are, with what names the take of a piece. */
const AFTER_TAKES = KINDS.filter(({ order }) => order === 'after-its-take').map((kind) => ({
  kind,
  takeOf: (piece: unknown) => [kind.take!(piece)],
}));

export interface Survey {
  takes: TakeStatus[];
  /** shapes whose facts are missing */
  shapes: ShapeKey[];
  /** pieces that must be made */
  missing<P>(kind: Kind<P>): readonly P[];
}

/** How many pictures are to be encoded from its films. */
export const picturesOf = ({ next }: TakeStatus) => next.filter(({ kind }) => kind === PICTURE).length;

/** What each take's inputs were when it was last traced, kept beside the store by catalogue. */
export type LastInputs = Record<string, TakeInputs>;

/** Files that are open at once, in a store of any size. */
const AT_ONCE = 32;

const MEANING: Record<keyof TakeInputs, string> = {
  solids: 'shape',
  shot: 'shot, lights or frame',
  finishes: 'finish or stone optics',
  colours: 'colourways',
  quality: 'quality',
  engine: 'tracer version',
};

/**
 * Kinds are looked at from the last to the first, since what is missing of one asks for others.
 * @param only the record of the one take that is of interest, with its pictures
 */
export async function surveyWork(
  work: Work,
  store: ArtefactStore,
  last: LastInputs,
  only?: string,
): Promise<Survey> {
  const asked = new Set<ArtefactName>();
  const limit = pLimit(AT_ONCE);
  const look: Look = { ...lookInto(store, limit), asked: (name) => asked.has(name) };
  const missing = new Map<AnyKind, readonly unknown[]>();
  for (const kind of [...KINDS].reverse()) {
    const pieces = work.pieces(kind).filter((piece) => !only || kind.take?.(piece) === only);
    const lacking = await Promise.all(pieces.map((piece) => isLacking(kind, piece, look)));
    const found = pieces.filter((_, i) => lacking[i]);
    missing.set(kind, found);
    for (const piece of found) for (const name of kind.from?.(piece) ?? []) asked.add(name);
  }
  const missingOf = <P>(kind: Kind<P>) => (missing.get(kind) ?? []) as readonly P[];
  const lacks = new Map([...missing].map(([kind, pieces]) => [kind, new Set(pieces)]));
  const takes = work.pieces(FILM).filter(({ record }) => !only || record === only);
  const statuses = takes.map((take) => limit(() => takeStatus(take, work, lacks, store, last)));
  return {
    takes: await Promise.all(statuses),
    shapes: missingOf(SOLID).map(({ shape }) => shape),
    missing: missingOf,
  };
}

/** Looks into a store, few files at once. */
export function lookInto(store: ArtefactStore, limit = pLimit(AT_ONCE)): Pick<Look, 'store' | 'has'> {
  return { store, has: (name) => limit(() => store.has(...placeOf(name))) };
}

/** Drawer and key of a name. */
export const placeOf = (name: ArtefactName) => name.split('/') as [string, ContentKey];

async function isLacking<P>(kind: Kind<P>, piece: P, look: Look): Promise<boolean> {
  if (kind.lacking) return kind.lacking(piece, look);
  for (const name of kind.uses?.(piece) ?? []) if (!(await look.has(name))) return true;
  return false;
}

async function takeStatus(
  work: TakeWork,
  { pieces }: Work,
  lacks: ReadonlyMap<AnyKind, ReadonlySet<unknown>>,
  store: ArtefactStore,
  last: LastInputs,
): Promise<TakeStatus> {
  const trace = lacks.get(FILM)?.has(work) ?? false;
  const next = AFTER_TAKES.flatMap(({ kind, takeOf }): NextPiece[] => {
    const all = grouped(pieces(kind), takeOf).get(work.record) ?? [];
    return all.filter((piece) => trace || lacks.get(kind)?.has(piece)).map((piece) => ({ kind, piece }));
  });
  let reason = '';
  const quarantine = trace ? await quarantineOf(store, work) : undefined;
  if (quarantine) reason = quarantineWording(quarantine);
  else if (trace) reason = traceReason(work, last[takeName(work)]);
  else if (next.length > 0)
    reason = 'picture files are missing or outputs, watermark, words or encoder changed; no tracing';
  return { work, trace, next, reason, quarantine };
}

function traceReason(work: TakeWork, before: TakeInputs | undefined): string {
  if (!before) return 'not traced before';
  const changed = (Object.keys(MEANING) as (keyof TakeInputs)[]).filter((k) => before[k] !== work.inputs[k]);
  if (changed.length === 0) return 'its films are no longer in the store';
  return `changed: ${changed.map((k) => MEANING[k]).join(', ')}`;
}
