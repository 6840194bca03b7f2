import { rm, stat } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { type Damage, type FolderReport, findDamage } from '../publish/damage.ts';
import { recoverFolders } from '../publish/item-folder.ts';
import { privateFolder } from '../publish/private-folder.ts';
import { ArtefactStore } from '../store/artefact-store.ts';
import { type Holder, Lease } from '../store/lease.ts';
import { type PublishedRecord, readPublished } from './published-record.ts';

export interface VerifyOptions {
  /** remove what is damaged, so that making the catalogue again makes it */
  remove: boolean;
  wait?: boolean;
  signal?: AbortSignal;
  onWait?: (holder?: Holder) => void;
}

export interface VerifyReport {
  folder: string;
  /** published files looked at, and their bytes */
  files: number;
  bytes: number;
  /** the catalogue was never published whole, or a run was cut off while publishing */
  unfinished: boolean;
  damage: Damage[];
  store: { artefacts: number; bytes: number; damaged: string[] };
}

/** Hashes again everything that one catalogue published and everything in the store of its output folder. */
export async function verifyCatalogue(
  out: string,
  catalogue: string,
  options: VerifyOptions,
): Promise<VerifyReport> {
  const lease = await Lease.take(out, options);
  try {
    const folder = join(out, catalogue);
    await recoverFolders(folder);
    const record: PublishedRecord | undefined = await readPublished(out, catalogue);
    const published = await findDamage(folder, record?.listings ?? {});
    const papers = await verifyPrivate(out, folder);
    const store = new ArtefactStore(join(out, '.bandwright', 'store'));
    const all = await store.list();
    const damaged: string[] = [];
    for (const { drawer, key } of all) {
      options.signal?.throwIfAborted();
      if (await store.isSound(drawer, key)) continue;
      damaged.push(`${drawer}/${key}`);
      if (options.remove) await store.remove(drawer, key);
    }
    if (options.remove)
      for (const { remove } of [...published.damage, ...papers.damage])
        await rm(join(folder, remove), { recursive: true, force: true });
    const bytes = all.reduce((sum, a) => sum + a.bytes, 0);
    return {
      folder,
      files: published.files + papers.files,
      bytes: published.bytes + papers.bytes,
      damage: [...published.damage, ...papers.damage],
      unfinished: record?.listings === undefined,
      store: { artefacts: all.length, bytes, damaged },
    };
  } finally {
    await lease.release();
  }
}

/** Papers in the private folder, by their paths from the catalogue's. A folder that was taken away whole is no damage. */
async function verifyPrivate(out: string, catalogueFolder: string): Promise<FolderReport> {
  const folder = privateFolder(catalogueFolder);
  const record = await readPublished(out, basename(folder));
  const there = (await stat(folder).catch(() => undefined)) !== undefined;
  const found = await findDamage(folder, there ? (record?.listings ?? {}) : {});
  const damage = found.damage.map(({ file, what }) => {
    const path = `../${basename(folder)}/${file}`;
    return { file: path, what, remove: path };
  });
  return { ...found, damage };
}
