import { createHash } from 'node:crypto';
import { readdir, stat } from 'node:fs/promises';
import { join } from 'node:path';
import type { Catalogue, CatalogueEntry } from '../facts/catalogue-schema.ts';
import { openOwn } from '../store/own-file.ts';
import { readCatalogue } from './catalogue.ts';
import { listItemFolders, MANIFEST, readManifest } from './item-folder.ts';
import { keyedFiles } from './keyed-files.ts';
import { filesOfMovie } from './movie-files.ts';

/** A published file that is not what it should be. */
export interface Damage {
  /** path in the catalogue folder */
  file: string;
  what: 'missing' | 'altered' | 'left over';
  /** what to remove so that it is published anew: the file, or the item's folder it lies in */
  remove: string;
}

export interface FolderReport {
  files: number;
  bytes: number;
  damage: Damage[];
}

interface NamedFile {
  file: string;
  bytes: number;
  sha256: string;
}

/**
 * Hashes every file of a published catalogue against its manifests and listings.
 * @param listings SHA-256 of catalogue.json and its like, as recorded when they were published
 */
export async function findDamage(
  outDir: string,
  listings: Readonly<Record<string, string>>,
): Promise<FolderReport> {
  const report: FolderReport = { files: 0, bytes: 0, damage: [] };
  for (const [file, sha256] of Object.entries(listings)) await look(outDir, { file, sha256 }, file, report);
  const catalogue = await readCatalogue(outDir);
  if (!catalogue) {
    // without it the items' own manifests still tell what their files should be
    for (const sku of await listItemFolders(outDir)) {
      const found = await readManifest(outDir, sku);
      if (found) await lookAtItem(outDir, found.manifest.item, report);
    }
    return report;
  }
  for (const entry of catalogue.items) await lookAtItem(outDir, entry, report);
  for (const file of sharedFiles(catalogue)) await look(outDir, file, file.file, report);
  const known = new Set(catalogue.items.map((i) => i.sku));
  for (const sku of await listItemFolders(outDir))
    if (!known.has(sku)) report.damage.push({ file: sku, what: 'left over', remove: sku });
  return report;
}

/** Models, files for the caster, swatches: named once, though several items may. */
export function sharedFiles(catalogue: Catalogue): NamedFile[] {
  const files = [
    ...catalogue.models,
    ...keyedFiles(catalogue.items.flatMap((i) => i.bands)),
    ...(catalogue.comparisons ?? []),
    ...(catalogue.movies ?? []).flatMap(filesOfMovie),
    ...(catalogue.swatches ?? []).flatMap((s) => [s.sheet, ...s.singles]),
  ];
  return [...new Map(files.map((f) => [f.file, f])).values()];
}

async function lookAtItem(outDir: string, entry: CatalogueEntry, report: FolderReport): Promise<void> {
  const { sku } = entry;
  const manifest = await readManifest(outDir, sku);
  const file = `${sku}/${MANIFEST}`;
  report.files++;
  if (!manifest) {
    const there = (await stat(join(outDir, file)).catch(() => undefined)) !== undefined;
    report.damage.push({ file, what: there ? 'altered' : 'missing', remove: sku });
  } else if (JSON.stringify(manifest.manifest.item) !== JSON.stringify(entry))
    report.damage.push({ file, what: 'altered', remove: sku });
  const named = [...entry.shots.flatMap((s) => s.pictures), ...(entry.documents ?? [])];
  for (const picture of named) await look(outDir, picture, sku, report);
  const names = new Set([MANIFEST, ...named.map((n) => n.file.slice(sku.length + 1))]);
  for (const name of await readdir(join(outDir, sku)).catch(() => []))
    if (!names.has(name)) report.damage.push({ file: `${sku}/${name}`, what: 'left over', remove: sku });
}

async function look(
  outDir: string,
  { file, sha256 }: { file: string; sha256: string },
  remove: string,
  report: FolderReport,
): Promise<void> {
  report.files++;
  const found = await hashFile(join(outDir, file));
  report.bytes += found?.bytes ?? 0;
  if (!found) report.damage.push({ file, what: 'missing', remove });
  else if (found.sha256 !== sha256) report.damage.push({ file, what: 'altered', remove });
}

/** Undefined if the file is not there or its disk cannot read it. */
async function hashFile(path: string): Promise<{ sha256: string; bytes: number } | undefined> {
  const hash = createHash('sha256');
  let bytes = 0;
  try {
    for await (const chunk of (await openOwn(path)).createReadStream()) {
      hash.update(chunk);
      bytes += chunk.length;
    }
    return { sha256: hash.digest('hex'), bytes };
  } catch {
    return undefined;
  }
}
