/**
 * Files that are either wholly there or not: temporary file in the same folder, fsync, rename, fsync of the
 * folder. After a crash or power cut a name holds the old bytes or the new ones.
 */
import { randomBytes } from 'node:crypto';
import { mkdir, open, readdir, rename, rm, stat } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { ProblemError } from '../problem.ts';

const TEMPORARY = /^\..+\.[0-9a-f]{12}\.tmp$/;
/** A temporary file older than this belongs to a process that died. */
const STALE_MS = 60 * 60 * 1000;

/** What a file is to hold, at once or piece by piece. */
export type FileData = Uint8Array | string | AsyncIterable<Uint8Array>;

/**
 * Writes a file whole, its folder made if missing.
 * @throws ProblemError if the place cannot be written or is full
 */
export async function writeDurably(path: string, data: FileData): Promise<void> {
  const folder = dirname(path);
  const temporary = join(folder, `.${basename(path)}.${randomBytes(6).toString('hex')}.tmp`);
  try {
    await mkdir(folder, { recursive: true });
    await writeSynced(temporary, data);
    await rename(temporary, path);
    await syncFolder(folder);
  } catch (error) {
    await rm(temporary, { force: true }).catch(() => {});
    throw writeProblem(error, path);
  }
}

/** Writes and flushes a new file under its final name; for files in a folder that nobody sees yet. */
export async function writeSynced(path: string, data: FileData): Promise<void> {
  const file = await open(path, 'wx');
  try {
    if (typeof data === 'string' || data instanceof Uint8Array) await file.writeFile(data);
    else for await (const piece of data) await file.writeFile(piece);
    await file.sync();
  } finally {
    await file.close();
  }
}

/** Flushes a folder's entries. Windows has no such call and needs none. */
export async function syncFolder(folder: string): Promise<void> {
  if (process.platform === 'win32') return;
  const handle = await open(folder, 'r');
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}

/** Removes temporary files that a killed process left in a folder. @returns how many */
export async function sweepTemporary(folder: string, now = Date.now()): Promise<number> {
  const names = await readdir(folder).catch(() => []);
  let swept = 0;
  for (const name of names.filter((n) => TEMPORARY.test(n))) {
    const path = join(folder, name);
    const age = now - ((await stat(path).catch(() => undefined))?.mtimeMs ?? now);
    if (age < STALE_MS) continue;
    await rm(path, { force: true });
    swept++;
  }
  return swept;
}

const REASONS: Record<string, string> = {
  EACCES: 'no permission',
  EPERM: 'no permission',
  EROFS: 'a read-only file system',
  ENOSPC: 'a full disk',
  EDQUOT: 'a full quota',
  ENOTDIR: 'a file where a folder should be',
  EEXIST: 'a file where a folder should be',
  EISDIR: 'a folder where a file should be',
  ENAMETOOLONG: 'a name too long for the file system',
};

/** A user-mendable file system fault as a problem; anything else unchanged. */
export function writeProblem(error: unknown, path: string): unknown {
  const code = (error as NodeJS.ErrnoException)?.code ?? '';
  const reason = REASONS[code];
  if (!reason) return error;
  return new ProblemError([
    {
      code: 'output-not-writable',
      severity: 'error',
      path,
      expected: 'a place that can be written',
      received: `${reason} (${code})`,
      advice: 'Choose another output folder or mend its permissions or space.',
    },
  ]);
}
