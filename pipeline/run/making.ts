/** The making of all that hangs on no single take. */
import type { AnyKind } from '../artefacts/kind.ts';
import { KINDS } from '../artefacts/kinds.ts';
import type { Job } from './job.ts';
import { recordPrivate } from './private-record.ts';
import type { Survey } from './survey.ts';

/** What waits until all takes are done. */
const BESIDE = KINDS.filter(({ order }) => order === undefined);

/** Makes what is missing of every other kind, then lays what is kept in the private folder. */
export async function makeBeside(job: Job, survey: Survey): Promise<void> {
  for (const kind of BESIDE) await makeMissing(job, kind, survey.missing(kind));
  await layPrivate(job);
  await job.place.costs.savePieces();
}

export async function makeMissing(job: Job, kind: AnyKind, pieces: readonly unknown[]): Promise<void> {
  if (!kind.make) return;
  const making = job.making();
  const { plan } = making;
  for (const piece of pieces) {
    making.signal.throwIfAborted();
    const skus = kind.skus?.(piece, plan);
    if (!skus || skus.some((sku) => job.wanted(sku) || job.wantedInPair(sku))) await kind.make(piece, making);
  }
}

/** What bench, caster and clients receive; unless the config publishes it, it is no part of the catalogue's folder. */
async function layPrivate(job: Job): Promise<void> {
  const making = job.making();
  const changed: string[] = [];
  for (const kind of BESIDE) changed.push(...((await kind.lay?.(making)) ?? []));
  await recordPrivate(making.catalogueFolder, changed);
  job.papers += changed.length;
}
