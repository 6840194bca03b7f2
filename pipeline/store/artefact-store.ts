/**
 * The artefact store: results by content key, so that nothing is computed twice.
 *
 * Layout: <folder>/<drawer>/<first two digits>/<key>. Each file is a 48-byte header (magic `BWART001`, payload
 * length as 64-bit little-endian, SHA-256 of the payload) and the payload. A file that does not match its header
 * counts as absent and is removed, so a bad disk costs time but never a wrong picture.
 */
import { createHash } from 'node:crypto';
import { lstatSync } from 'node:fs';
import { lstat, lutimes, readdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import type { ContentKey } from './content-key.ts';
import { sweepTemporary, writeDurably } from './durable-file.ts';
import { openOwn, readOwn } from './own-file.ts';

/** An artefact's place in the store: its drawer, which what uses it names, and its content key. */
export type ArtefactName = `${string}/${ContentKey}`;

/** What a store had a moment ago is damaged or gone: to be made again. */
export class ArtefactLost extends Error {}

const MAGIC = Buffer.from('BWART001', 'latin1');
const HEADER = 48;
const DRAWER = /^[a-z][a-z-]{0,30}$/;

export class ArtefactStore {
  readonly folder: string;
  /** `drawer/key` of artefacts that were found damaged and removed */
  readonly damaged: ArtefactName[] = [];

  constructor(folder: string) {
    this.folder = folder;
  }

  /** Cheap: looks at header and length only. */
  async has(drawer: string, key: ContentKey): Promise<boolean> {
    return (await this.size(drawer, key)) !== undefined;
  }

  /** Payload bytes of an artefact that is whole by its length, else undefined. */
  async size(drawer: string, key: ContentKey): Promise<number | undefined> {
    const file = await openOwn(this.#path(drawer, key)).catch(absent);
    if (!file) return undefined;
    try {
      const header = Buffer.alloc(HEADER);
      await file.read(header, 0, HEADER, 0);
      const { size } = await file.stat();
      const payload = payloadLength(header);
      return payload === size - HEADER ? payload : undefined;
    } finally {
      await file.close();
    }
  }

  /** The payload, checked against its hash; undefined if absent or damaged (then it is removed). */
  async get(drawer: string, key: ContentKey): Promise<Uint8Array | undefined> {
    const path = this.#path(drawer, key);
    const bytes = await readOwn(path).catch(absentOrUnreadable);
    if (!bytes) return undefined;
    const payload = soundPayload(bytes);
    if (payload) return payload;
    this.damaged.push(`${drawer}/${key}`);
    await rm(path, { force: true });
    return undefined;
  }

  /** Whether an artefact is there and matches its hash; removes nothing. */
  async isSound(drawer: string, key: ContentKey): Promise<boolean> {
    const bytes = await readOwn(this.#path(drawer, key)).catch(absentOrUnreadable);
    return bytes !== undefined && soundPayload(bytes) !== undefined;
  }

  /** Stores durably; storing the same key again replaces it whole. @throws ProblemError if not writable */
  async put(drawer: string, key: ContentKey, data: Uint8Array): Promise<void> {
    const header = Buffer.alloc(16);
    MAGIC.copy(header);
    header.writeBigUInt64LE(BigInt(data.length), 8);
    await writeDurably(this.#path(drawer, key), Buffer.concat([header, digest(data), data]));
  }

  async remove(drawer: string, key: ContentKey): Promise<void> {
    await rm(this.#path(drawer, key), { force: true });
  }

  /** The drawers that there are, sorted. */
  async drawers(): Promise<string[]> {
    return (await list(this.folder)).filter((name) => DRAWER.test(name)).sort();
  }

  /** Keys of a drawer, sorted; includes artefacts that may turn out damaged. */
  async keys(drawer: string): Promise<ContentKey[]> {
    const keys: ContentKey[] = [];
    for (const prefix of await list(join(this.folder, drawer))) {
      keys.push(...(await list(join(this.folder, drawer, prefix))).filter(isKey));
    }
    return keys.sort();
  }

  /** Every artefact with the bytes of its file and the time (ms since 1970) of its last use. */
  async list(): Promise<StoredArtefact[]> {
    const found: StoredArtefact[] = [];
    for (const drawer of await this.drawers())
      for (const key of await this.keys(drawer)) {
        const { size, mtimeMs } = await lstat(this.#path(drawer, key));
        found.push({ drawer, key, bytes: size, usedMs: mtimeMs });
      }
    return found;
  }

  /** Notes that an artefact was used now; what is absent stays so. */
  async touch(drawer: string, key: ContentKey, now: Date): Promise<void> {
    await lutimes(this.#path(drawer, key), now, now).catch(absent);
  }

  /** By length and times of its file, without reading it: an equal mark means that nobody has written or touched it. */
  mark(drawer: string, key: ContentKey): string | undefined {
    const stat = lstatSync(this.#path(drawer, key), { bigint: true, throwIfNoEntry: false });
    return stat && `${stat.size} ${stat.mtimeNs} ${stat.ctimeNs}`;
  }

  /** Removes temporary files of killed processes; for who holds the lease. @returns how many */
  async sweep(): Promise<number> {
    return sweepTemporary(this.folder);
  }

  #path(drawer: string, key: ContentKey): string {
    if (!DRAWER.test(drawer)) throw new RangeError(`expected the name of a drawer but received ${drawer}`);
    if (!isKey(key)) throw new RangeError(`expected a hex content key but received ${key}`);
    return join(this.folder, drawer, key.slice(0, 2), key);
  }
}

const isKey = (name: string): name is ContentKey => /^[0-9a-f]{16,64}$/.test(name);

export interface StoredArtefact {
  drawer: string;
  key: ContentKey;
  bytes: number;
  usedMs: number;
}

function soundPayload(bytes: Buffer): Buffer | undefined {
  const payload = bytes.subarray(HEADER);
  const sound = payloadLength(bytes) === payload.length && digest(payload).equals(bytes.subarray(16, HEADER));
  return sound ? payload : undefined;
}

function payloadLength(bytes: Buffer): number {
  if (bytes.length < HEADER || !bytes.subarray(0, 8).equals(MAGIC)) return -1;
  return Number(bytes.readBigUInt64LE(8));
}

function digest(data: Uint8Array): Buffer {
  return createHash('sha256').update(data).digest();
}

function absent(error: NodeJS.ErrnoException): undefined {
  if (error.code === 'ENOENT' || error.code === 'ENOTDIR') return undefined;
  throw error;
}

/** A file whose sectors cannot be read counts as damaged. */
function absentOrUnreadable(error: NodeJS.ErrnoException): Buffer | undefined {
  return error.code === 'EIO' ? Buffer.alloc(0) : absent(error);
}

async function list(folder: string): Promise<string[]> {
  return (await readdir(folder).catch(absent)) ?? [];
}
