import { constants } from 'node:fs';
import { open, readdir } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import type { WatermarkPlan } from './plan.ts';

/** The files a config may lead to, behind an interface so that tests need no disk. */
export interface CatalogueFiles {
  /**
   * At most `most` bytes of a file.
   * @throws if there is no such file, it is larger, it is none (a folder, a device, a pipe) or it cannot be read
   */
  read(file: string, most: number): Promise<Uint8Array>;
  /** names in a folder, none if it does not exist */
  list(folder: string): Promise<string[]>;
  /** absolute path of the folder of the templates that come along */
  templates: string;
  /** without it files are only looked at */
  prove?: Provers;
}

/** Decode a file whole, so that a broken one is found now and not after hours of tracing. Other rooms know how. */
export interface Provers {
  /** @throws Error that says what is wrong */
  sky(bytes: Uint8Array): void;
  /** @throws ProblemError */
  logo(file: string, bytes: Uint8Array): Promise<void>;
  /** `bytes`: of its image, if it has one. @throws ProblemError */
  watermark(mark: WatermarkPlan, bytes?: Uint8Array): Promise<void>;
}

const MEGABYTE = 1024 * 1024;

export const DISK: CatalogueFiles = {
  read: readBounded,
  list: (folder) => readdir(folder).catch(() => []),
  templates: fileURLToPath(new URL('../../templates', import.meta.url)),
};

/** See `CatalogueFiles.read`. A pipe that nobody writes is not waited for, and a device that never ends is not begun. */
export async function readBounded(file: string, most: number): Promise<Buffer> {
  const handle = await open(file, constants.O_RDONLY | (constants.O_NONBLOCK ?? 0));
  try {
    const found = await handle.stat();
    if (!found.isFile()) throw new Error(found.isDirectory() ? 'a folder' : 'a device or pipe, and no file');
    if (found.size > most) throw new Error(tooLarge(found.size, most));
    const parts: Buffer[] = [];
    let size = 0;
    // files of /proc tell no size, and one may grow meanwhile
    for (;;) {
      const { bytesRead, buffer } = await handle.read(Buffer.allocUnsafe(Math.max(found.size + 1, 65_536)));
      if (bytesRead === 0) return parts.length === 1 ? parts[0] : Buffer.concat(parts);
      size += bytesRead;
      if (size > most) throw new Error(tooLarge(size, most));
      parts.push(buffer.subarray(0, bytesRead));
    }
  } finally {
    await handle.close();
  }
}

function tooLarge(size: number, most: number): string {
  return `a file of ${(size / MEGABYTE).toFixed(1)} MB, more than ${most / MEGABYTE} MB`;
}

const MOST_TEXT_BYTES = 4 * MEGABYTE;

/**
 * A text file.
 * @throws Error whose message says what was found instead of UTF-8 text
 */
export async function readText(file: string, files: CatalogueFiles): Promise<string> {
  const bytes = await files.read(file, MOST_TEXT_BYTES);
  const [a, b] = bytes;
  if ((a === 0xff && b === 0xfe) || (a === 0xfe && b === 0xff)) throw new Error('text in UTF-16');
  if (bytes.includes(0)) throw new Error('bytes that no text holds');
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    throw new Error('text that is not UTF-8');
  }
}
