/** Models of shapes with all their colourways: `models/<shape>.glb`. */
import { rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import type { Catalogue, ModelEntry } from '../facts/catalogue-schema.ts';
import { type FileReport, writeIfChanged } from '../store/changed-file.ts';
import { sha256 } from '../store/content-key.ts';

export interface CatalogueModel {
  /** path from the catalogue folder, `models/<shape>.glb` */
  file: string;
  shape: string;
  variants: string[];
  data: Uint8Array;
  /** its copy for the page's viewer, which has no decoder for Draco; made from `data` if left out */
  viewer?: () => Promise<Uint8Array>;
}

export async function publishModels(
  outDir: string,
  models: readonly CatalogueModel[],
  before: Catalogue | undefined,
  report: FileReport,
): Promise<ModelEntry[]> {
  const entries = new Map<string, ModelEntry>();
  for (const old of before?.models ?? []) {
    const found = await stat(join(outDir, old.file)).catch(() => undefined);
    if (found?.size === old.bytes) entries.set(old.file, old);
  }
  for (const { file, shape, variants, data } of models) {
    if (!/^models\/[a-z0-9][\w.-]*\.glb$/i.test(file)) {
      throw new RangeError(`expected models/<name>.glb but received ${file}`);
    }
    const entry: ModelEntry = { file, shape, variants, bytes: data.length, sha256: sha256(data) };
    await writeIfChanged(outDir, file, data, report);
    entries.set(file, entry);
  }
  return [...entries.values()].sort((a, b) => (a.file < b.file ? -1 : 1));
}

/** Of the models that are or were there, those that the catalogue does not name go. */
export async function clearModels(
  outDir: string,
  models: readonly ModelEntry[],
  catalogue: Catalogue,
): Promise<void> {
  for (const { file } of models)
    if (!catalogue.models.some((m) => m.file === file)) await rm(join(outDir, file), { force: true });
}
