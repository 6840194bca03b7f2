/**
 * What bench and caster need, in the private folder beside a catalogue: whoever has it can make the band.
 *
 *     <catalogue>-private/caster/READ-ME.txt, <part>.stl, .3mf, <SKU>-stones.csv
 *     <catalogue>-private/sheets/<SKU>-bench.html, .pdf
 *
 * Every file is the old one or the new one; those that are no longer asked for go, those of others stay.
 */
import { lstat, readdir, rm, rmdir } from 'node:fs/promises';
import { join } from 'node:path';
import { sweepTemporary, writeDurably, writeProblem } from '../store/durable-file.ts';
import { readOwn } from '../store/own-file.ts';
import { isOwnTree, makeOwnFolder } from '../store/own-folder.ts';

/** What may be written and removed in each folder. */
const OURS = {
  caster: /^(?:READ-ME\.txt|[A-Za-z0-9][\w.-]*(?:\.stl|\.3mf|-stones\.csv))$/,
  sheets: /^[A-Za-z0-9][\w.-]*-bench\.(?:html|pdf)$/,
};
export type BenchFolder = keyof typeof OURS;

export interface BenchFile {
  name: string;
  /** given where the name holds a content key: a file of that length is then the right one */
  bytes?: number;
  data: () => Promise<Uint8Array>;
}

/**
 * @param folder the private folder
 * @param keeps names that stay although they are not among the files, as in a run of some SKUs only
 * @returns names that were written or removed
 */
export async function publishBench(
  folder: string,
  part: BenchFolder,
  files: AsyncIterable<BenchFile> | Iterable<BenchFile>,
  keeps: (name: string) => boolean,
): Promise<string[]> {
  const place = join(folder, part);
  const changed: string[] = [];
  const named = new Set<string>();
  try {
    for (const own of [folder, place]) await makeOwnFolder(own, 0o700);
    await sweepTemporary(place);
    for await (const file of files) {
      if (!OURS[part].test(file.name)) throw new RangeError(`${file.name} cannot lie in ${part}`);
      named.add(file.name);
      if (await write(join(place, file.name), file)) changed.push(file.name);
    }
    for (const name of (await readdir(place)).filter(
      (n) => OURS[part].test(n) && !named.has(n) && !keeps(n),
    )) {
      await rm(join(place, name), { force: true });
      changed.push(name);
    }
    return changed;
  } catch (error) {
    throw writeProblem(error, place);
  }
}

/** Paths below the private folder of what was written there. */
export async function benchFiles(folder: string, part: BenchFolder): Promise<string[]> {
  const names = await readdir(join(folder, part)).catch(() => []);
  return names.filter((n) => OURS[part].test(n)).map((n) => `${part}/${n}`);
}

/** Removes all that was ever written there; files of others stay, and so does their folder. */
export async function clearBench(folder: string, part: BenchFolder): Promise<void> {
  const place = join(folder, part);
  // behind a link or in somebody else's folder nothing of ours was ever written
  if (!(await isOwnTree(folder, 1))) return;
  for (const name of await benchFiles(folder, part)) await rm(join(folder, name), { force: true });
  for (const empty of [place, folder]) await rmdir(empty).catch(() => {});
}

/** @returns whether it was written */
async function write(path: string, { bytes, data }: BenchFile): Promise<boolean> {
  if (bytes !== undefined && (await lstat(path).catch(() => undefined))?.size === bytes) return false;
  const wanted = await data();
  if (bytes === undefined && (await readOwn(path).catch(() => undefined))?.equals(wanted)) return false;
  await writeDurably(path, wanted, 0o600);
  return true;
}
