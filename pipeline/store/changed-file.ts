import { lstat } from 'node:fs/promises';
import { join } from 'node:path';
import { writeDurably } from './durable-file.ts';
import { readOwn } from './own-file.ts';

/** What was written, file by file. */
export interface FileReport {
  files: string[];
  bytesWritten: number;
}

/** Writes a file of the catalogue folder unless it is there with these bytes. */
export async function writeIfChanged(
  outDir: string,
  file: string,
  data: Uint8Array | string,
  report: FileReport,
): Promise<void> {
  const path = join(outDir, file);
  const bytes = Buffer.from(data as Uint8Array);
  const found = await lstat(path).catch(() => undefined);
  if (found?.isFile() && found.size === bytes.length && (await readOwn(path)).equals(bytes)) return;
  await writeDurably(path, bytes);
  report.files.push(file);
  report.bytesWritten += bytes.length;
}
