import { createHash } from 'node:crypto';
import path from 'node:path';
import type { Findings, Locate } from './findings.ts';
import type { CatalogueFiles } from './reading.ts';

const MOST_BYTES = 256 * 1024 * 1024;

/** Radiance pictures start with `#?`, OpenEXR with the number 20000630. */
function isSkyPicture(bytes: Uint8Array): boolean {
  const starts = (...codes: number[]) => codes.every((c, i) => bytes[i] === c);
  return starts(0x23, 0x3f) || starts(0x76, 0x2f, 0x31, 0x01);
}

async function readSky(file: string, files: CatalogueFiles): Promise<string | Uint8Array> {
  try {
    const bytes = await files.read(file, MOST_BYTES);
    if (!isSkyPicture(bytes)) return 'a file that is neither';
    files.prove?.sky(bytes);
    return bytes;
  } catch (error) {
    return error instanceof Error ? error.message : String(error);
  }
}

/**
 * The file of a pictured sky, from the folder of the file that names it, and the hash of its bytes. One that cannot be
 * used is reported. Whether it can be decoded, provers of `files` see.
 */
export async function readSkyFile(
  image: string,
  locate: Locate,
  files: CatalogueFiles,
  findings: Findings,
): Promise<{ file: string; hash: string } | undefined> {
  const where = ['sky', 'image'];
  const file = path.resolve(path.dirname(locate(where, false)?.file ?? ''), image);
  const found = await readSky(file, files);
  if (typeof found !== 'string') return { file, hash: createHash('sha256').update(found).digest('hex') };
  findings.add(
    {
      code: 'unreadable-sky',
      path: where,
      expected: `a Radiance (.hdr) or OpenEXR (.exr) file of at most ${MOST_BYTES / 1024 / 1024} MB`,
      received: found,
      advice: `Check ${file}; paths start from the folder of the file that names them.`,
    },
    locate,
  );
  return undefined;
}
