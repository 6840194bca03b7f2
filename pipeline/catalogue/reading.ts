import { readdir, readFile, stat } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';

/** The files a config may lead to, behind an interface so that tests need no disk. */
export interface CatalogueFiles {
  /** @throws if there is no such file or it cannot be read */
  read(file: string): Promise<Uint8Array>;
  /** size in bytes; @throws if there is no such file */
  size(file: string): Promise<number>;
  /** names in a folder, none if it does not exist */
  list(folder: string): Promise<string[]>;
  /** absolute path of the folder of the templates that come along */
  templates: string;
}

export const DISK: CatalogueFiles = {
  read: (file) => readFile(file),
  async size(file) {
    const s = await stat(file);
    if (!s.isFile()) throw new Error('not a file');
    return s.size;
  },
  list: (folder) => readdir(folder).catch(() => []),
  templates: fileURLToPath(new URL('../../templates', import.meta.url)),
};
