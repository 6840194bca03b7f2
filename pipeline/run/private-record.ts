/** What the files of a private folder were when they were written, so that verifying can name those that were altered. */
import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { benchFiles } from '../publish/private-bench.ts';
import { privateFiles, privateFolder } from '../publish/private-folder.ts';
import { readPublished, writePublished } from './published-record.ts';

/**
 * Keeps the hash of each file. Of what was not written this time the hash of then stays: proofs and casters' files are not
 * compared byte by byte with what they should be, so they may have been altered since.
 * @param changed names of files that were written
 */
export async function recordPrivate(catalogueFolder: string, changed: readonly string[]): Promise<void> {
  const folder = privateFolder(catalogueFolder);
  const [out, name] = [dirname(folder), basename(folder)];
  const before = (await readPublished(out, name))?.listings ?? {};
  const listings: Record<string, string> = {};
  const parts = (['caster', 'sheets'] as const).map((part) => benchFiles(folder, part));
  for (const file of [await privateFiles(folder), ...(await Promise.all(parts))].flat()) {
    const bytes = await readFile(join(folder, file)).catch(() => undefined);
    if (!bytes) continue;
    // the list of proofs goes with them and is told of by none
    const left = basename(file) !== 'proofs.json' && !changed.includes(basename(file));
    listings[file] = (left && before[file]) || createHash('sha256').update(bytes).digest('hex');
  }
  if (JSON.stringify(listings) === JSON.stringify(before)) return;
  await writePublished(out, name, { uses: [], listings });
}
