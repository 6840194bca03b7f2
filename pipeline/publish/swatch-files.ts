/** Sheets of all colourways as PNG and PDF, and single swatches: `swatches/<name>.png`. */
import { rm } from 'node:fs/promises';
import { join } from 'node:path';
import type { Catalogue, SwatchEntry } from '../facts/catalogue-schema.ts';
import { type FileReport, writeIfChanged } from '../store/changed-file.ts';
import { sha256 } from '../store/content-key.ts';

interface SwatchFile {
  /** path from the catalogue folder, `swatches/<name>.png` */
  file: string;
  width: number;
  height: number;
  data: Uint8Array;
}

/** All colourways of one take. */
export interface CatalogueSwatches {
  shot: string;
  card: SwatchFile;
  /** the sheet as PDF */
  print?: SwatchFile;
  singles: (SwatchFile & { sku: string; caption: string })[];
}

export async function publishSwatches(
  outDir: string,
  swatches: readonly CatalogueSwatches[],
  report: FileReport,
): Promise<SwatchEntry[]> {
  const publish = async ({ file, width, height, data }: SwatchFile) => {
    await writeIfChanged(outDir, file, data, report);
    return { file, width, height, bytes: data.length, sha256: sha256(data) };
  };
  const entries: SwatchEntry[] = [];
  for (const { shot, card, print, singles } of swatches) {
    const files = [];
    for (const s of singles) files.push({ ...(await publish(s)), sku: s.sku, caption: s.caption });
    const sheet = await publish(card);
    entries.push({ shot, sheet, ...(print ? { print: await publish(print) } : {}), singles: files });
  }
  return entries;
}

export async function removeOldSwatches(
  outDir: string,
  before: Catalogue | undefined,
  now: Catalogue,
): Promise<void> {
  const files = (c: Catalogue | undefined) =>
    (c?.swatches ?? []).flatMap(({ sheet, print, singles }) => [
      sheet.file,
      ...(print ? [print.file] : []),
      ...singles.map((s) => s.file),
    ]);
  const used = new Set(files(now));
  for (const file of files(before)) if (!used.has(file)) await rm(join(outDir, file), { force: true });
}
