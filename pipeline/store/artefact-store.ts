/**
 * The artefact store: results by content key, so that nothing is computed twice.
 *
 * Layout: <folder>/<layer>/<first two digits>/<key>. Each file is a 48-byte header (magic `BWART001`, payload
 * length as 64-bit little-endian, SHA-256 of the payload) and the payload. A file that does not match its header
 * counts as absent and is removed, so a bad disk costs time but never a wrong picture.
 */
import { createHash } from 'node:crypto';
import { lstatSync } from 'node:fs';
import { lstat, lutimes, readdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { sweepTemporary, writeDurably } from './durable-file.ts';
import { openOwn, readOwn } from './own-file.ts';

/** `fault`: why a take is in quarantine */
export type ArtefactLayer = 'solid' | 'film' | 'picture' | 'model' | 'part' | 'sheet' | 'fault';

/** What a store had a moment ago is damaged or gone: to be made again. */
export class ArtefactLost extends Error {}

const MAGIC = Buffer.from('BWART001', 'latin1');
const HEADER = 48;
export const LAYERS: readonly ArtefactLayer[] = [
  'solid',
  'film',
  'picture',
  'model',
  'part',
  'sheet',
  'fault',
];

export class ArtefactStore {
  readonly folder: string;
  /** `layer/key` of artefacts that were found damaged and removed */
  readonly damaged: string[] = [];

  constructor(folder: string) {
    this.folder = folder;
  }

  /** Cheap: looks at header and length only. */
  async has(layer: ArtefactLayer, key: string): Promise<boolean> {
    return (await this.size(layer, key)) !== undefined;
  }

  /** Payload bytes of an artefact that is whole by its length, else undefined. */
  async size(layer: ArtefactLayer, key: string): Promise<number | undefined> {
    const file = await openOwn(this.#path(layer, key)).catch(absent);
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
  async get(layer: ArtefactLayer, key: string): Promise<Uint8Array | undefined> {
    const path = this.#path(layer, key);
    const bytes = await readOwn(path).catch(absentOrUnreadable);
    if (!bytes) return undefined;
    const payload = soundPayload(bytes);
    if (payload) return payload;
    this.damaged.push(`${layer}/${key}`);
    await rm(path, { force: true });
    return undefined;
  }

  /** Whether an artefact is there and matches its hash; removes nothing. */
  async isSound(layer: ArtefactLayer, key: string): Promise<boolean> {
    const bytes = await readOwn(this.#path(layer, key)).catch(absentOrUnreadable);
    return bytes !== undefined && soundPayload(bytes) !== undefined;
  }

  /** Stores durably; storing the same key again replaces it whole. @throws ProblemError if not writable */
  async put(layer: ArtefactLayer, key: string, data: Uint8Array): Promise<void> {
    const header = Buffer.alloc(16);
    MAGIC.copy(header);
    header.writeBigUInt64LE(BigInt(data.length), 8);
    await writeDurably(this.#path(layer, key), Buffer.concat([header, digest(data), data]));
  }

  async remove(layer: ArtefactLayer, key: string): Promise<void> {
    await rm(this.#path(layer, key), { force: true });
  }

  /** Keys of a layer, sorted; includes artefacts that may turn out damaged. */
  async keys(layer: ArtefactLayer): Promise<string[]> {
    const keys: string[] = [];
    for (const prefix of await list(join(this.folder, layer))) {
      keys.push(...(await list(join(this.folder, layer, prefix))).filter((n) => !n.startsWith('.')));
    }
    return keys.sort();
  }

  /** Every artefact with the bytes of its file and the time (ms since 1970) of its last use. */
  async list(): Promise<StoredArtefact[]> {
    const found: StoredArtefact[] = [];
    for (const layer of LAYERS)
      for (const key of await this.keys(layer)) {
        const { size, mtimeMs } = await lstat(this.#path(layer, key));
        found.push({ layer, key, bytes: size, usedMs: mtimeMs });
      }
    return found;
  }

  /** Notes that an artefact was used now; what is absent stays so. */
  async touch(layer: ArtefactLayer, key: string, now: Date): Promise<void> {
    await lutimes(this.#path(layer, key), now, now).catch(absent);
  }

  /** By length and times of its file, without reading it: an equal mark means that nobody has written or touched it. */
  mark(layer: ArtefactLayer, key: string): string | undefined {
    const stat = lstatSync(this.#path(layer, key), { bigint: true, throwIfNoEntry: false });
    return stat && `${stat.size} ${stat.mtimeNs} ${stat.ctimeNs}`;
  }

  /** Removes temporary files of killed processes; for who holds the lease. @returns how many */
  async sweep(): Promise<number> {
    return sweepTemporary(this.folder);
  }

  #path(layer: ArtefactLayer, key: string): string {
    if (!/^[0-9a-f]{16,64}$/.test(key))
      throw new RangeError(`expected a hex content key but received ${key}`);
    return join(this.folder, layer, key.slice(0, 2), key);
  }
}

export interface StoredArtefact {
  layer: ArtefactLayer;
  key: string;
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
