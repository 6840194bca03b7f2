/** Films of turntables: `movies/<SKU>-<shot>-<width>.webp`, `.webm`, `.mp4`. */
import { rm } from 'node:fs/promises';
import { join } from 'node:path';
import type { Catalogue, MovieEntry } from '../facts/catalogue-schema.ts';
import { type FileReport, writeIfChanged } from '../store/changed-file.ts';
import { sha256 } from '../store/content-key.ts';

export type CatalogueMovie = Readonly<Omit<MovieEntry, 'bytes' | 'sha256'>> & { data: Uint8Array };

export async function publishMovies(
  outDir: string,
  movies: readonly CatalogueMovie[],
  report: FileReport,
): Promise<MovieEntry[]> {
  const entries: MovieEntry[] = [];
  for (const { data, ...facts } of movies) {
    await writeIfChanged(outDir, facts.file, data, report);
    entries.push({ ...facts, bytes: data.length, sha256: sha256(data) });
  }
  return entries;
}

export async function removeOldMovies(
  outDir: string,
  before: Catalogue | undefined,
  now: Catalogue,
): Promise<void> {
  const used = new Set(now.movies?.map((m) => m.file));
  for (const { file } of before?.movies ?? [])
    if (!used.has(file)) await rm(join(outDir, file), { force: true });
}
