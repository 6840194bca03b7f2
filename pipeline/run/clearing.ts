import { join } from 'node:path';
import { ArtefactStore, type StoredArtefact } from '../store/artefact-store.ts';
import { sweepTemporary } from '../store/durable-file.ts';
import { type Holder, Lease } from '../store/lease.ts';
import { artefactsInUse } from './published-record.ts';

export interface ClearOptions {
  /** bytes the store may keep */
  keep: number;
  wait?: boolean;
  signal?: AbortSignal;
  onWait?: (holder?: Holder) => void;
}

export interface ClearReport {
  /** bytes of the store before and after */
  before: number;
  after: number;
  removed: number;
  /** bytes that the catalogues standing there use; never cleared */
  used: number;
  /** temporary files of killed runs */
  swept: number;
  /** catalogues made before records were kept: nothing is cleared while there are any */
  untold: string[];
}

/**
 * Brings the store of an output folder down to a size by removing what was not used for longest. What catalogues that
 * stand in the folder are made from stays, even if it is more.
 */
export async function clearStore(out: string, options: ClearOptions): Promise<ClearReport> {
  const lease = await Lease.take(out, options);
  try {
    const store = new ArtefactStore(join(out, '.bandwright', 'store'));
    const swept = await sweepTemporary(join(out, '.bandwright'));
    const { used, untold } = await artefactsInUse(out);
    const all = await store.list();
    const isUsed = ({ drawer, key }: StoredArtefact) => used.has(`${drawer}/${key}`);
    const before = total(all);
    const report = { before, after: before, removed: 0, used: total(all.filter(isUsed)), swept, untold };
    if (untold.length > 0) return report;
    for (const artefact of all.filter((a) => !isUsed(a)).sort((a, b) => a.usedMs - b.usedMs)) {
      if (report.after <= options.keep) break;
      options.signal?.throwIfAborted();
      await store.remove(artefact.drawer, artefact.key);
      report.after -= artefact.bytes;
      report.removed++;
    }
    return report;
  } finally {
    await lease.release();
  }
}

const total = (artefacts: readonly StoredArtefact[]) => artefacts.reduce((sum, a) => sum + a.bytes, 0);
