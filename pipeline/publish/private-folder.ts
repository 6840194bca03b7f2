/**
 * The private folder beside a catalogue: proofs with clients' names, and how prices are made up. It is never part of
 * what is uploaded, so it stands outside the catalogue's folder, closed to other users where the system can do that.
 *
 *     <catalogue>-private/READ-ME-FIRST.txt, prices.csv
 *     <catalogue>-private/proofs/order-<hash>.html, order-<hash>-a4.pdf, pair-<SKU>.html, …, orders.csv, proofs.json
 *     <catalogue>-private/replies/: what couples sent back, put there by the workshop and never removed
 *     <catalogue>-private/proofs/order-<hash>-bench-1.html, <allowance>_<alloy>-order-<hash>-1.stl, …, READ-ME.txt: bands with an order's letters
 *
 * Every file is the old one or the new one. Proofs that are no longer asked for go: names are kept no longer than needed.
 */
import { chmod, lstat, readdir, rm, rmdir } from 'node:fs/promises';
import { join } from 'node:path';
import { sweepTemporary, writeDurably, writeProblem } from '../store/durable-file.ts';
import { openOwn, readOwn } from '../store/own-file.ts';
import { isOwnTree, makeOwnFolder } from '../store/own-folder.ts';

/** modes: for the maker alone */
const CLOSED = { folder: 0o700, file: 0o600 };
const NAMES = {
  note: 'READ-ME-FIRST.txt',
  index: 'proofs.json',
  orders: 'orders.csv',
  prices: 'prices.csv',
  proofs: 'proofs',
  replies: 'replies',
};
const PROOF_FILE = new RegExp(
  [
    /^(?:order-[0-9a-f]{16}|pair-[A-Za-z0-9._-]+)\.(?:html|pdf)$/,
    /^order-[0-9a-f]{16}-(?:a4|letter)\.pdf$/,
    /^order-[0-9a-f]{16}-(?:(?:bench-[12]|ticket)\.(?:html|pdf)|facts-[12]\.json)$/,
    /^[a-z0-9._-]+-order-[0-9a-f]{16}-[12]\.(?:stl|3mf)$/,
    // as they were once named, so that they still go
    /^order-[0-9a-f]{16}-[12]-[a-z0-9._-]+\.(?:stl|3mf)$/,
    /^READ-ME\.txt$/,
  ]
    .map(({ source }) => source)
    .join('|'),
);

/** Where replies to proofs are looked for. */
export function repliesFolder(folder: string): string {
  return join(folder, NAMES.replies);
}

/** File → content key of what it was made from. */
export type ProofIndex = Record<string, string>;

export function privateFolder(catalogueFolder: string): string {
  return `${catalogueFolder}-private`;
}

export interface PrivateFile {
  /** name within `proofs/` */
  name: string;
  /** content key: an equal one is left as it is */
  key: string;
  data: () => Promise<Uint8Array | undefined>;
}

/** What was written of that name among the proofs, if anything. */
export async function readPrivate(folder: string, name: string): Promise<Uint8Array | undefined> {
  return readOwn(join(folder, NAMES.proofs, name)).catch(() => undefined);
}

/**
 * @param files written one by one as they come, so that not all are held at once
 * @returns names that were written or removed
 */
export async function publishPrivate(
  folder: string,
  files: AsyncIterable<PrivateFile> | Iterable<PrivateFile>,
  /** `orders` is asked when the files are written, which may show that some are not to be had */
  { note, prices, orders }: { note: string; prices?: string; orders: () => string | undefined },
  /** names that stay although they are not among the files, as in a run of some SKUs only */
  keeps: (name: string) => boolean,
): Promise<string[]> {
  const changed: string[] = [];
  try {
    const proofs = join(folder, NAMES.proofs);
    for (const own of [folder, proofs]) {
      await makeOwnFolder(own, CLOSED.folder);
      await close(own);
    }
    await sweepTemporary(folder);
    await sweepTemporary(proofs);
    await writeChanged(folder, NAMES.note, note, changed);
    if (prices === undefined) await rm(join(folder, NAMES.prices), { force: true });
    else await writeChanged(folder, NAMES.prices, prices, changed);
    const before = await readIndex(proofs);
    const index: ProofIndex = {};
    for await (const { name, key, data } of files) {
      if (!PROOF_FILE.test(name)) throw new RangeError(`${name} cannot name a proof`);
      if (before[name] === key && (await exists(join(proofs, name)))) {
        index[name] = key;
        continue;
      }
      const bytes = await data();
      if (!bytes) continue;
      await writeDurably(join(proofs, name), bytes, CLOSED.file);
      index[name] = key;
      changed.push(name);
    }
    for (const name of (await readdir(proofs)).filter((n) => PROOF_FILE.test(n) && !(n in index))) {
      if (keeps(name) && name in before) index[name] = before[name];
      else {
        await rm(join(proofs, name), { force: true });
        changed.push(name);
      }
    }
    const told = orders();
    if (told === undefined) await rm(join(proofs, NAMES.orders), { force: true });
    else {
      await writeChanged(proofs, NAMES.orders, told, changed);
      await makeOwnFolder(repliesFolder(folder), CLOSED.folder);
      await close(repliesFolder(folder));
    }
    const text = `${JSON.stringify(index, Object.keys(index).sort(), 2)}\n`;
    await writeChanged(proofs, NAMES.index, text, []);
    return changed;
  } catch (error) {
    throw writeProblem(error, folder);
  }
}

/** Beginnings of the pages of orders' proofs, by their names: what they hand their script stands at their head. */
export async function proofHeads(folder: string): Promise<Map<string, string>> {
  const proofs = join(folder, NAMES.proofs);
  const heads = new Map<string, string>();
  for (const name of (await readdir(proofs)).filter((n) => /^order-[0-9a-f]{16}\.html$/.test(n)).sort()) {
    const file = await openOwn(join(proofs, name)).catch(() => undefined);
    if (!file) continue;
    try {
      const { buffer, bytesRead } = await file.read(Buffer.alloc(HEAD_BYTES), 0, HEAD_BYTES, 0);
      heads.set(name, buffer.toString('utf8', 0, bytesRead));
    } finally {
      await file.close();
    }
  }
  return heads;
}

/** Far more than stands before a proof's fonts. */
const HEAD_BYTES = 16 * 1024;

/** Paths of the files in the folder that are written here, as far as they are there. */
export async function privateFiles(folder: string): Promise<string[]> {
  const proofs = await readdir(join(folder, NAMES.proofs)).catch(() => []);
  const ours = proofs.filter((n) => PROOF_FILE.test(n) || n === NAMES.index || n === NAMES.orders);
  const top = await readdir(folder).catch(() => []);
  return [
    ...top.filter((n) => n === NAMES.note || n === NAMES.prices),
    ...ours.map((n) => `${NAMES.proofs}/${n}`),
  ].sort();
}

/** Removes all that was ever written there; files of others stay, and so does their folder. */
export async function clearPrivate(folder: string): Promise<void> {
  // behind a link or in somebody else's folder nothing of ours was ever written
  if (!(await isOwnTree(folder, 1))) return;
  for (const file of await privateFiles(folder)) await rm(join(folder, file), { force: true });
  for (const empty of [join(folder, NAMES.proofs), repliesFolder(folder), folder])
    await rmdir(empty).catch(() => {});
}

/** Files of older versions were open to all; a place on a file system without such modes is no reason to fail. */
async function close(folder: string): Promise<void> {
  await chmod(folder, CLOSED.folder).catch(() => {});
  for (const entry of await readdir(folder, { withFileTypes: true }))
    if (entry.isFile()) await chmod(join(folder, entry.name), CLOSED.file).catch(() => {});
}

async function readIndex(folder: string): Promise<ProofIndex> {
  try {
    return JSON.parse(String(await readOwn(join(folder, NAMES.index)))) as ProofIndex;
  } catch {
    return {};
  }
}

async function exists(path: string): Promise<boolean> {
  return (await lstat(path).catch(() => undefined))?.isFile() ?? false;
}

async function writeChanged(folder: string, name: string, text: string, changed: string[]): Promise<void> {
  const path = join(folder, name);
  if ((await readOwn(path).then(String, () => undefined)) === text) return;
  await writeDurably(path, text, CLOSED.file);
  changed.push(name);
}
