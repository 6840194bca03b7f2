import { lstat, rm, rmdir } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { writeDurably } from '../store/durable-file.ts';
import { readOwn } from '../store/own-file.ts';
import type { Destination } from './hand-over.ts';

/** A folder of this machine or one that it reaches as such. Files are whole or not there. */
export function folderDestination(folder: string): Destination {
  const at = (path: string) => join(folder, ...path.split('/'));
  return {
    name: folder,
    read: (path) => readOwn(at(path)).catch(() => undefined),
    async has(path, bytes) {
      const found = await lstat(at(path)).catch(() => undefined);
      return found?.isFile() === true && found.size === bytes;
    },
    write: (path, data) => writeDurably(at(path), data),
    async remove(path) {
      await rm(at(path), { force: true });
      // a folder that is empty now was an item's
      if (path.includes('/')) await rmdir(dirname(at(path))).catch(() => {});
    },
    async close() {},
  };
}
