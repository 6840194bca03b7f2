/**
 * Moving pictures: `movies/<SKU>-<shot>-<width>.webp`, `.webm`, `.mp4`, each with a still (`.jpg`) and captions (`.vtt`).
 */
import { rm } from 'node:fs/promises';
import { join } from 'node:path';
import type { Catalogue, MovieEntry } from '../facts/catalogue-schema.ts';
import { type FileReport, writeIfChanged } from '../store/changed-file.ts';
import { sha256 } from '../store/content-key.ts';

interface FileData {
  file: string;
  data: Uint8Array;
}

export type CatalogueMovie = Readonly<Omit<MovieEntry, 'bytes' | 'sha256' | 'still' | 'captions'>> & {
  data: Uint8Array;
  still: FileData;
  captions: FileData;
};

export async function publishMovies(
  outDir: string,
  movies: readonly CatalogueMovie[],
  report: FileReport,
): Promise<MovieEntry[]> {
  const write = async ({ file, data }: FileData) => {
    await writeIfChanged(outDir, file, data, report);
    return { file, bytes: data.length, sha256: sha256(data) };
  };
  const entries: MovieEntry[] = [];
  for (const { data, still, captions, ...facts } of movies)
    entries.push({
      ...facts,
      ...(await write({ file: facts.file, data })),
      still: await write(still),
      captions: await write(captions),
    });
  return entries;
}

/** Every file of a film. */
export const filesOfMovie = ({ still, captions, ...movie }: MovieEntry) => [movie, still, captions];

export async function removeOldMovies(
  outDir: string,
  before: Catalogue | undefined,
  now: Catalogue,
): Promise<void> {
  const files = (c: Catalogue | undefined) => (c?.movies ?? []).flatMap(filesOfMovie).map(({ file }) => file);
  const used = new Set(files(now));
  for (const file of files(before)) if (!used.has(file)) await rm(join(outDir, file), { force: true });
}
