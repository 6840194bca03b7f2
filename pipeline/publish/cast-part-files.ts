/** Files of alloy parts for the caster, shared by all bands that have the part: `models/bench/<name>.stl`, `.3mf`. */
import { readdir, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import type { BandFacts, CatalogueEntry } from './catalogue-schema.ts';
import { type FileReport, writeIfChanged } from './changed-file.ts';
import { sha256 } from './content-key.ts';
import { sweepTemporary } from './durable-file.ts';

const PARTS = 'models/bench';

/** A file of a cast part; its bytes are fetched only if they must be written. */
export interface CataloguePartFile {
  /** path from the catalogue folder, `models/bench/<name>` */
  file: string;
  bytes: number;
  sha256: string;
  data: () => Promise<Uint8Array>;
}

/** Names carry content keys: a file of the right length is the right file. */
export async function publishParts(
  outDir: string,
  parts: readonly CataloguePartFile[],
  report: FileReport,
): Promise<void> {
  await sweepTemporary(join(outDir, PARTS));
  for (const { file, bytes, sha256: hash, data } of parts) {
    if (!/^models\/bench\/[a-z0-9][\w.-]*\.(stl|3mf)$/i.test(file))
      throw new RangeError(`expected models/bench/<name>.stl or .3mf but received ${file}`);
    const found = await stat(join(outDir, file)).catch(() => undefined);
    if (found?.size === bytes) continue;
    const read = await data();
    if (sha256(read) !== hash) throw new RangeError(`expected hash ${hash} for ${file}`);
    await writeIfChanged(outDir, file, read, report);
  }
}

export function partFiles(bands: readonly BandFacts[]): string[] {
  return bands.flatMap((b) => b.caster?.parts.flatMap((p) => p.files.map((f) => f.file)) ?? []);
}

/** Parts that no item names any more go. */
export async function clearParts(outDir: string, entries: readonly CatalogueEntry[]): Promise<void> {
  const named = new Set(partFiles(entries.flatMap((e) => e.bands)));
  for (const name of await readdir(join(outDir, PARTS)).catch(() => []))
    if (/\.(stl|3mf)$/.test(name) && !named.has(`${PARTS}/${name}`)) await rm(join(outDir, PARTS, name));
}
