/**
 * Folders of Bandwright's own within an output folder. What is emptied, swept or closed to others there must be a real folder
 * of ours: behind a link, or put there by another user, it could be anybody's. The output folder itself is the user's
 * choice and may be a link.
 *
 * Limit: Node has no openat(2), so a folder is looked at and then used by its path. Who may exchange it in between may
 * write into the output folder anyway.
 */
import type { Stats } from 'node:fs';
import { lstat, mkdir, readdir, stat } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { ProblemError } from '../problem.ts';
import { makeFolder } from './durable-file.ts';

/** @throws ProblemError (`folder-not-ours`) if something else stands there; other errors as mkdir(2) */
export async function makeOwnFolder(path: string, mode = 0o777): Promise<void> {
  await makeFolder(dirname(path));
  await mkdir(path, { mode }).catch((error: NodeJS.ErrnoException) => {
    if (error.code !== 'EEXIST') throw error;
  });
  await checkOwnFolder(path);
}

/** @returns whether it is there. @throws ProblemError (`folder-not-ours`) */
export async function checkOwnFolder(path: string): Promise<boolean> {
  const found = await lstat(path).catch(absent);
  if (!found) return false;
  const wrong = await whyNotOurs(path, found);
  if (wrong === undefined) return true;
  throw new ProblemError([
    {
      code: 'folder-not-ours',
      severity: 'error',
      path,
      expected: "a folder of Bandwright's own, made by this user",
      received: wrong,
      advice: 'Nothing in it was touched. Move it away, or choose another output folder with --out.',
    },
  ]);
}

/** The same for a folder and all folders that it holds down to a depth. Links to files are left to who reads files. */
export async function checkOwnTree(path: string, depth: number): Promise<void> {
  if (!(await checkOwnFolder(path)) || depth === 0) return;
  for (const entry of await readdir(path, { withFileTypes: true })) {
    const inner = join(path, entry.name);
    if (entry.isDirectory() || (entry.isSymbolicLink() && (await leadsToFolder(inner))))
      await checkOwnTree(inner, depth - 1);
  }
}

/** Whether a folder and all folders that it holds down to a depth are ours, or not there at all. */
export async function isOwnTree(path: string, depth: number): Promise<boolean> {
  return checkOwnTree(path, depth).then(
    () => true,
    () => false,
  );
}

async function leadsToFolder(link: string): Promise<boolean> {
  return (await stat(link).catch(() => undefined))?.isDirectory() ?? false;
}

async function whyNotOurs(path: string, found: Stats): Promise<string | undefined> {
  if (found.isSymbolicLink()) return 'a link';
  if (!found.isDirectory()) return 'something that is no folder';
  const user = process.getuid?.();
  if (user === undefined || found.uid === user) return undefined;
  // who owns the folder around it could exchange it anyway; on shared disks everything belongs to one user
  const { uid } = await stat(dirname(path));
  return found.uid === uid ? undefined : `a folder of another user (id ${found.uid})`;
}

function absent(error: NodeJS.ErrnoException): undefined {
  if (error.code === 'ENOENT' || error.code === 'ENOTDIR') return undefined;
  throw error;
}
