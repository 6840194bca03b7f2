/**
 * A catalogue's folder brought to where it will stand, by what changed. At the place lies a record of what was handed over
 * (`.handed-over.json`: path to SHA-256), so nothing that is there already is sent, and nothing that others put there is ever
 * removed.
 *
 * Order: first the record forgets what is about to be replaced; then files are copied, listings last; then the record tells
 * them; deletions come at the very end. Interrupted anywhere, the place shows the old catalogue or the new one with some
 * old files too many, and the next run goes on.
 */
import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { join } from 'node:path';
import type { PublicFiles } from './public-files.ts';

/** Where a catalogue can be brought to. Paths have forward slashes. */
export interface Destination {
  /** as people know it */
  name: string;
  /** undefined if there is none */
  read(path: string): Promise<Uint8Array | undefined>;
  /** whether a file of that length is there */
  has(path: string, bytes: number): Promise<boolean>;
  /** whole or not at all */
  write(path: string, data: Uint8Array, type: string): Promise<void>;
  remove(path: string): Promise<void>;
  close(): Promise<void>;
}

export const RECORD = '.handed-over.json';

type Handed = Record<string, string>;

export interface HandOverPlan {
  copy: { file: string; bytes: number; sha256: string; new: boolean }[];
  remove: string[];
  unchanged: number;
  /** what lies in the folder and is no part of the catalogue */
  others: string[];
  record: Handed;
}

/** Compares the folder with what was handed over. Reads, and changes nothing. */
export async function planHandOver(
  folder: string,
  { files, others }: PublicFiles,
  to: Destination,
): Promise<HandOverPlan> {
  const record = readRecord(await to.read(RECORD));
  const copy: HandOverPlan['copy'] = [];
  let unchanged = 0;
  for (const file of files) {
    const { sha256, bytes } = await hashFile(join(folder, file));
    if (record[file] === sha256 && (await to.has(file, bytes))) unchanged++;
    else copy.push({ file, bytes, sha256, new: record[file] === undefined });
  }
  const now = new Set(files);
  const remove = Object.keys(record).filter((file) => !now.has(file));
  return { copy, remove, unchanged, others, record };
}

/** @param read of a file of the folder */
export async function performHandOver(
  { copy, remove, record }: HandOverPlan,
  to: Destination,
  {
    read,
    told,
    signal,
  }: { read: (file: string) => Promise<Uint8Array>; told: (file: string) => void; signal: AbortSignal },
): Promise<void> {
  const handed = { ...record };
  if (copy.length + remove.length === 0) return;
  for (const { file } of copy) if (file in handed) handed[file] = '';
  await writeRecord(to, handed);
  for (const { file, sha256 } of copy) {
    signal.throwIfAborted();
    const data = await read(file);
    await to.write(file, data, typeOf(file));
    // what changed meanwhile is copied again next time
    handed[file] = createHash('sha256').update(data).digest('hex') === sha256 ? sha256 : '';
    told(file);
  }
  await writeRecord(to, handed);
  for (const file of remove) {
    signal.throwIfAborted();
    await to.remove(file);
    delete handed[file];
    told(file);
  }
  if (remove.length > 0) await writeRecord(to, handed);
}

function writeRecord(to: Destination, handed: Handed): Promise<void> {
  const sorted = Object.fromEntries(Object.entries(handed).sort(([a], [b]) => (a < b ? -1 : 1)));
  return to.write(RECORD, Buffer.from(`${JSON.stringify(sorted, null, 1)}\n`), 'application/json');
}

/** It lies where others can write: only paths that a catalogue could have are believed. */
function readRecord(data: Uint8Array | undefined): Handed {
  try {
    const parsed: unknown = JSON.parse(data ? Buffer.from(data).toString('utf8') : '{}');
    if (typeof parsed !== 'object' || parsed === null) return {};
    const believed = Object.entries(parsed).filter(
      ([path, hash]) => isCataloguePath(path) && typeof hash === 'string',
    );
    return Object.fromEntries(believed) as Handed;
  } catch {
    return {};
  }
}

/** Names between slashes, none of them hidden, and at most three of them deep. */
export function isCataloguePath(path: string): boolean {
  const parts = path.split('/');
  return parts.length <= 3 && parts.every((part) => /^[A-Za-z0-9][^\\/\p{Cc}]*$/u.test(part));
}

async function hashFile(path: string): Promise<{ sha256: string; bytes: number }> {
  const hash = createHash('sha256');
  let bytes = 0;
  for await (const chunk of createReadStream(path)) {
    hash.update(chunk);
    bytes += chunk.length;
  }
  return { sha256: hash.digest('hex'), bytes };
}

/** Media types as registered with IANA, by the ends of names. */
const TYPES: Record<string, string> = {
  avif: 'image/avif',
  webp: 'image/webp',
  jpg: 'image/jpeg',
  png: 'image/png',
  tif: 'image/tiff',
  tiff: 'image/tiff',
  html: 'text/html; charset=utf-8',
  css: 'text/css; charset=utf-8',
  js: 'text/javascript; charset=utf-8',
  json: 'application/json',
  jsonld: 'application/ld+json',
  csv: 'text/csv; charset=utf-8',
  xml: 'application/xml',
  txt: 'text/plain; charset=utf-8',
  vtt: 'text/vtt; charset=utf-8',
  pdf: 'application/pdf',
  glb: 'model/gltf-binary',
  usdz: 'model/vnd.usdz+zip',
  stl: 'model/stl',
  '3mf': 'model/3mf',
  webm: 'video/webm',
  mp4: 'video/mp4',
};

const typeOf = (file: string) =>
  TYPES[file.slice(file.lastIndexOf('.') + 1).toLowerCase()] ?? 'application/octet-stream';
