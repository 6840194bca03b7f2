/**
 * Reading files of Bandwright's own. A link or a special file in the place of one counts as absent: a link may lead
 * anywhere, a pipe makes its reader wait for ever, and /dev/zero has no end.
 */
import { closeSync, constants, fstatSync, openSync, readFileSync } from 'node:fs';
import { type FileHandle, open } from 'node:fs/promises';

// Windows has neither, and needs them less
const PLAIN = constants.O_RDONLY | (constants.O_NOFOLLOW ?? 0) | (constants.O_NONBLOCK ?? 0);

const notPlain = (path: string) =>
  Object.assign(new Error(`ENOENT: no regular file, open '${path}'`), { code: 'ENOENT' });

function asAbsent(error: NodeJS.ErrnoException, path: string): never {
  // what open(2) says of a link, and of a socket
  throw error.code === 'ELOOP' || error.code === 'ENXIO' ? notPlain(path) : error;
}

/** @throws as open(2); ENOENT for what is no regular file */
export async function openOwn(path: string): Promise<FileHandle> {
  const file = await open(path, PLAIN).catch((error) => asAbsent(error, path));
  const plain = await file.stat().then((s) => s.isFile());
  if (plain) return file;
  await file.close();
  throw notPlain(path);
}

export async function readOwn(path: string): Promise<Buffer> {
  const file = await openOwn(path);
  try {
    return await file.readFile();
  } finally {
    await file.close();
  }
}

export function readOwnSync(path: string): Buffer {
  let file: number;
  try {
    file = openSync(path, PLAIN);
  } catch (error) {
    return asAbsent(error as NodeJS.ErrnoException, path);
  }
  try {
    if (!fstatSync(file).isFile()) throw notPlain(path);
    return readFileSync(file);
  } finally {
    closeSync(file);
  }
}
