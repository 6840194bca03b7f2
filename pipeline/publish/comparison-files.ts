/** Traced pictures beside drawings of the model: `comparison/<SKU>-<shot>.webp`, and `comparison.html` with all figures. */
import { rm } from 'node:fs/promises';
import { join } from 'node:path';
import type { Catalogue, ComparisonEntry } from '../facts/catalogue-schema.ts';
import { type FileReport, writeIfChanged } from '../store/changed-file.ts';
import { sha256 } from '../store/content-key.ts';
import { comparisonPage } from './comparison-page.ts';

export const COMPARISON_PAGE = 'comparison.html';

export type CatalogueComparison = Readonly<Omit<ComparisonEntry, 'bytes' | 'sha256'>> & { data: Uint8Array };

export async function publishComparisons(
  outDir: string,
  comparisons: readonly CatalogueComparison[],
  report: FileReport,
): Promise<ComparisonEntry[]> {
  const entries: ComparisonEntry[] = [];
  for (const { data, ...facts } of comparisons) {
    await writeIfChanged(outDir, facts.file, data, report);
    entries.push({ ...facts, bytes: data.length, sha256: sha256(data) });
  }
  return entries;
}

/** The page of all of them, or none; pictures that are no longer among them go. */
export async function publishComparisonPage(
  outDir: string,
  before: Catalogue | undefined,
  now: Catalogue,
  report: FileReport,
): Promise<void> {
  if (now.comparisons) await writeIfChanged(outDir, COMPARISON_PAGE, comparisonPage(now), report);
  else await rm(join(outDir, COMPARISON_PAGE), { force: true });
  const used = new Set(now.comparisons?.map((c) => c.file));
  for (const { file } of before?.comparisons ?? [])
    if (!used.has(file)) await rm(join(outDir, file), { force: true });
}
