/** Stores of several machines brought together in one. */
import { stat } from 'node:fs/promises';
import { join } from 'node:path';
import { ProblemError } from '../problem.ts';
import { ArtefactStore } from '../store/artefact-store.ts';

export interface MergeReport {
  copied: number;
  /** `drawer/key` of what the other store held damaged: not copied */
  damaged: string[];
}

/**
 * Copies what the store lacks from another output folder, each checked against its hash. Keys are those of content, so
 * the order of folders does not matter and copying again copies nothing. Quarantines stay where they are.
 * @throws ProblemError (`no-store`) if the folder holds no store
 */
export async function mergeStore(store: ArtefactStore, from: string): Promise<MergeReport> {
  const folder = join(from, '.bandwright', 'store');
  if (!(await stat(folder).catch(() => undefined))?.isDirectory())
    throw new ProblemError([
      {
        code: 'no-store',
        severity: 'error',
        path: '--from',
        expected: 'the output folder of a share',
        received: `${from}, which holds no store`,
        advice: 'Name the folder that was given to make --shard with --out.',
      },
    ]);
  const other = new ArtefactStore(folder);
  const report: MergeReport = { copied: 0, damaged: [] };
  for (const drawer of (await other.drawers()).filter((d) => d !== 'fault'))
    for (const key of await other.keys(drawer)) {
      if (await store.isSound(drawer, key)) continue;
      if (!(await other.isSound(drawer, key))) {
        report.damaged.push(`${drawer}/${key}`);
        continue;
      }
      const bytes = await other.get(drawer, key);
      if (!bytes) continue;
      await store.put(drawer, key, bytes);
      report.copied++;
    }
  return report;
}
