/**
 * Files beside the items that name them: `models/bench/<part>.stl`, `.3mf`, shared by all bands that have the part, and
 * `models/each/<SKU>-<key>.glb`, `.usdz`, models of one band alone. Names carry content keys.
 */
import { lstat, readdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import type { BandFacts, CatalogueEntry } from '../facts/catalogue-schema.ts';
import { type FileReport, writeIfChanged } from '../store/changed-file.ts';
import { sha256 } from '../store/content-key.ts';
import { sweepTemporary } from '../store/durable-file.ts';

const FOLDERS = [
  { folder: 'models/bench', name: /^[a-z0-9][\w.-]*\.(stl|3mf)$/i },
  { folder: 'models/each', name: /^[a-z0-9][\w.-]*\.(glb|usdz)$/i },
] as const;

/** A file with a content key in its name; its bytes are fetched only if they must be written. */
export interface KeyedFile {
  /** path from the catalogue folder */
  file: string;
  bytes: number;
  sha256: string;
  data: () => Promise<Uint8Array>;
}

/** A file of the right length is the right file. */
export async function publishKeyed(
  outDir: string,
  files: readonly KeyedFile[],
  report: FileReport,
): Promise<void> {
  for (const { folder } of FOLDERS) await sweepTemporary(join(outDir, folder));
  for (const { file, bytes, sha256: hash, data } of files) {
    if (!FOLDERS.some(({ folder, name }) => file.startsWith(`${folder}/`) && name.test(leaf(file, folder))))
      throw new RangeError(
        `expected a file of ${FOLDERS.map((f) => f.folder).join(' or ')} but received ${file}`,
      );
    const found = await lstat(join(outDir, file)).catch(() => undefined);
    if (found?.isFile() && found.size === bytes) continue;
    const read = await data();
    if (sha256(read) !== hash) throw new RangeError(`expected hash ${hash} for ${file}`);
    await writeIfChanged(outDir, file, read, report);
  }
}

const leaf = (file: string, folder: string) => file.slice(folder.length + 1);

/** What bands name of these folders. */
export function keyedFiles(bands: readonly BandFacts[]): { file: string; bytes: number; sha256: string }[] {
  return bands.flatMap((b) => [...(b.caster?.parts.flatMap((p) => p.files) ?? []), ...(b.ownModels ?? [])]);
}

/** Files that no item names any more go. */
export async function clearKeyed(outDir: string, entries: readonly CatalogueEntry[]): Promise<void> {
  const named = new Set(keyedFiles(entries.flatMap((e) => e.bands)).map((f) => f.file));
  for (const { folder, name: ours } of FOLDERS)
    for (const name of await readdir(join(outDir, folder)).catch(() => []))
      if (ours.test(name) && !named.has(`${folder}/${name}`)) await rm(join(outDir, folder, name));
}
