/**
 * Files that are either wholly there or not: temporary file in the same folder, fsync, rename, fsync of the
 * folder. After a crash or power cut a name holds the old bytes or the new ones.
 */
import { randomBytes } from 'node:crypto';
import { mkdir, open, readdir, rm, stat } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { reached } from '../fault-point.ts';
import { ProblemError } from '../problem.ts';
import { renamePatiently } from './patient-rename.ts';
import { beginUnfinished, endUnfinished } from './unfinished.ts';

const TEMPORARY = /^\..+\.[0-9a-f]{12}\.tmp$/;

/** What a file is to hold, at once or piece by piece. */
export type FileData = Uint8Array | string | AsyncIterable<Uint8Array>;

/**
 * Writes a file whole, its folder made if missing.
 * @param mode of the file, less what the user's mask takes; as usual unless given
 * @throws ProblemError if the place cannot be written or is full
 */
export async function writeDurably(path: string, data: FileData, mode?: number): Promise<void> {
  await writeOnce(path, data, mode).catch((error: NodeJS.ErrnoException) => {
    // on a shared folder, who holds the lease may take a temporary file for one left behind: it is written once more
    const kept = typeof data === 'string' || data instanceof Uint8Array;
    if (kept && error.code === 'ENOENT') return writeOnce(path, data, mode);
    throw error;
  });
}

async function writeOnce(path: string, data: FileData, mode?: number): Promise<void> {
  const folder = dirname(path);
  const temporary = join(folder, `.${basename(path)}.${randomBytes(6).toString('hex')}.tmp`);
  beginUnfinished(temporary);
  try {
    await makeFolder(folder);
    await writeSynced(temporary, data, mode);
    await reached('file.rename');
    await renamePatiently(temporary, path);
    await reached('file.renamed');
    await syncFolder(folder);
    await reached('file.done');
  } catch (error) {
    await rm(temporary, { force: true }).catch(() => {});
    throw writeProblem(error, path);
  } finally {
    endUnfinished(temporary);
  }
}

/**
 * Makes a folder and those above it, if they are missing. Node's own way (20 to 24) tries for ever where a system says of
 * a folder that is there that nothing can be made in it because it is not, as Linux does of /proc.
 * @throws the system's error, or ProblemError where nothing can be made
 */
export async function makeFolder(folder: string): Promise<void> {
  if (await madeFolder(folder)) return;
  const above = dirname(folder);
  if (above !== folder && !(await stat(above).catch(() => undefined))) await makeFolder(above);
  // what is above is there now, perhaps made by another in between
  if (!(await madeFolder(folder))) throw notWritable(folder, 'a folder in which nothing can be made');
}

/** Whether the folder is there now; not if something above it is missing. @throws the system's other errors */
async function madeFolder(folder: string): Promise<boolean> {
  try {
    await mkdir(folder);
    return true;
  } catch (error) {
    const there = await stat(folder).catch(() => undefined);
    if (there?.isDirectory()) return true;
    if (there || (error as NodeJS.ErrnoException).code !== 'ENOENT') throw error;
    return false;
  }
}

/** Writes and flushes a new file under its final name; for files in a folder that nobody sees yet. */
export async function writeSynced(path: string, data: FileData, mode = 0o666): Promise<void> {
  await reached('file.open');
  const file = await open(path, 'wx', mode);
  try {
    await reached('file.write');
    if (typeof data === 'string' || data instanceof Uint8Array) await file.writeFile(data);
    else for await (const piece of data) await file.writeFile(piece);
    await reached('file.sync');
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

/**
 * Removes the temporary files that killed processes left in a folder and below it. Only for who holds the folder's
 * lease: nobody else may be writing there. @returns how many
 */
export async function sweepTemporary(folder: string): Promise<number> {
  const entries = await readdir(folder, { withFileTypes: true }).catch(() => []);
  let swept = 0;
  for (const entry of entries) {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) swept += await sweepTemporary(path);
    else if (TEMPORARY.test(entry.name)) {
      await rm(path, { force: true });
      swept++;
    }
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
  EIO: 'a disk that fails',
  ELOOP: 'links that lead in a circle',
  ENXIO: 'a pipe or device',
  EINVAL: 'a name that the file system refuses',
  ENAMETOOLONG: 'a name too long for the file system',
};

/** A user-mendable file system fault as a problem; anything else unchanged. */
export function writeProblem(error: unknown, path: string): unknown {
  const code = (error as NodeJS.ErrnoException)?.code ?? '';
  const reason = REASONS[code];
  return reason ? notWritable(path, `${reason} (${code})`) : error;
}

function notWritable(path: string, received: string): ProblemError {
  return new ProblemError([
    {
      code: 'output-not-writable',
      severity: 'error',
      path,
      expected: 'a place that can be written',
      received,
      advice: 'Choose another output folder or mend its permissions or space.',
    },
  ]);
}
