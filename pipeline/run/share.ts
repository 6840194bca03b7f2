/** A catalogue made by several machines, each its share: artefacts into a store, nothing published. */
import { join } from 'node:path';
import { FILM, type TakeWork } from '../artefacts/film.ts';
import type { AnyKind } from '../artefacts/kind.ts';
import { KINDS } from '../artefacts/kinds.ts';
import type { Plan, QualityPlan } from '../plan/plan.ts';
import { ProblemError } from '../problem.ts';
import { Lease } from '../store/lease.ts';
import { checkOwnTree } from '../store/own-folder.ts';
import { ENGINE } from '../tracer/tracer.ts';
import { surveyAdopted } from './film-engines.ts';
import { Job, type MakeOptions, placeOptions } from './job.ts';
import { fillStore, waitWording } from './make.ts';
import { makeMissing } from './making.ts';
import { work } from './take-work.ts';
import { openWorkplace } from './workplace.ts';

/** The `index`-th (from 1) of `of` shares. */
export interface Share {
  index: number;
  of: number;
}

/** `2/5`. @throws ProblemError (`bad-share`) */
export function readShard(text: string): Share {
  const [, i, n] = /^(\d{1,6})\/(\d{1,6})$/.exec(text) ?? [];
  const [index, of] = [Number(i), Number(n)];
  if (index >= 1 && index <= of) return { index, of };
  throw new ProblemError([
    {
      code: 'bad-share',
      severity: 'error',
      path: '--shard',
      expected: 'a share such as 2/5, counted from 1',
      received: text,
      advice: 'Give each machine a number of its own and all of them the same total.',
    },
  ]);
}

/**
 * Divides takes so that shares cost about the same: the largest first, each to the share that has least (Graham 1969;
 * at most 4/3 − 1/3n of the best). From the plan alone, so that all machines agree without asking each other.
 */
export function divideTakes(
  takes: readonly TakeWork[],
  { noise, passCap }: Pick<QualityPlan, 'noise' | 'passCap'>,
  of: number,
): TakeWork[][] {
  const shares = Array.from({ length: of }, () => ({ load: 0, takes: [] as TakeWork[] }));
  const cost = (t: TakeWork) => work(t.take, noise, passCap);
  const order = [...takes].sort(
    (a, b) => cost(b) - cost(a) || (a.records[ENGINE] < b.records[ENGINE] ? -1 : 1),
  );
  for (const take of order) {
    const least = shares.reduce((a, b) => (b.load < a.load ? b : a));
    least.load += cost(take);
    least.takes.push(take);
  }
  return shares.map((s) => s.takes);
}

export interface ShareResult {
  /** in the store now */
  takes: number;
  /** SKU → why */
  failed: Map<string, string>;
}

/**
 * Makes one share; films by any engine serve. Several may use one output folder, so it holds no lease on that, only on its own number.
 * @throws as `makeCatalogue`
 */
export async function makeShare(
  plan: Plan,
  { index, of }: Share,
  options: MakeOptions,
): Promise<ShareResult> {
  const { out, wait, signal, report } = options;
  const hand = join(out, '.bandwright', 'shares', `${plan.catalogue}-${index}-of-${of}`);
  await checkOwnTree(join(out, '.bandwright'), 3);
  const lease = await Lease.take(hand, {
    wait,
    signal,
    onWait: (holder) => report({ event: 'waiting', message: waitWording(holder) }),
  });
  try {
    const place = await openWorkplace(plan, out, { ...placeOptions(options), anyEngine: true });
    const job = new Job(place, { ...options, signal: AbortSignal.any([signal, lease.lost]) });
    // by the plan alone, whoever traces what
    const takes = divideTakes(place.work.pieces(FILM), plan.quality, of)[index - 1];
    const ids = new Set(takes.map(({ take }) => take.id));
    const all = await surveyAdopted(place);
    const mine = new Set(place.work.pieces(FILM).flatMap((t) => (ids.has(t.take.id) ? [t.record] : [])));
    const isMine = (kind: AnyKind) => {
      const { take } = kind;
      if (take) return (piece: unknown) => mine.has(take(piece));
      // what follows no take is dealt out in turn, counted with what is there already
      const own = new Set(place.work.pieces(kind).filter((_, i) => i % of === index - 1));
      return (piece: unknown) => own.has(piece);
    };
    const survey = { ...all, takes: all.takes.filter((t) => ids.has(t.work.take.id)) };
    await fillStore(job, survey, 1, async () => {
      for (const kind of KINDS.filter(({ shared, order }) => shared && order === undefined))
        await makeMissing(job, kind, all.missing(kind).filter(isMine(kind)));
    });
    const after = await surveyAdopted(place);
    const made = after.takes.filter((t) => ids.has(t.work.take.id) && !t.trace && t.next.length === 0);
    return { takes: made.length, failed: job.failed };
  } catch (error) {
    throw lease.lost.aborted ? lease.lost.reason : error;
  } finally {
    await lease.release();
  }
}
