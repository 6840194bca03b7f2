/**
 * A checkpoint of a take on disk: the sums themselves, where film files hold rounded pictures.
 *
 * Layout: magic `BWCKPT01`, identity (32 bytes: what the checkpoint is of), payload length as 64-bit little-endian, the
 * payload, and the SHA-256 of all before it. Written whole or not at all, and read piece by piece: a large take has
 * hundreds of megabytes. Not compressed: sums of noise are noise. (Deflate at level 1 took 27 % off
 * a checkpoint of the demo's three-quarter take, mostly its white ground, for 0.18 s of processor time on 11.5 MB; writing
 * those took 0.02 to 0.06 s.)
 */
import { createHash } from 'node:crypto';
import { type FileHandle, lstat, readdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { sweepTemporary, writeDurably } from '../store/durable-file.ts';
import { openOwn } from '../store/own-file.ts';
import type { FilmPieces } from './checkpoint.ts';

const MAGIC = Buffer.from('BWCKPT01', 'latin1');
const HEADER = 48;
const DIGEST = 32;
const CHUNK = 1 << 20;
/** A checkpoint nobody has touched for so long belongs to a take that nobody makes any more. */
const STALE_MS = 30 * 24 * 60 * 60 * 1000;

/** @throws ProblemError if the place cannot be written, RangeError if there are more or fewer pieces than announced */
export async function writeCheckpoint(path: string, identity: string, pieces: FilmPieces): Promise<void> {
  await writeDurably(path, framed(identity, pieces));
}

async function* framed(identity: string, pieces: FilmPieces): AsyncGenerator<Uint8Array> {
  const header = Buffer.alloc(HEADER);
  MAGIC.copy(header);
  identityBytes(identity).copy(header, 8);
  header.writeBigUInt64LE(BigInt(pieces.bytes), 40);
  const hash = createHash('sha256').update(header);
  yield header;
  let bytes = 0;
  for await (const piece of pieces) {
    hash.update(piece);
    bytes += piece.length;
    yield piece;
  }
  if (bytes !== pieces.bytes) throw new RangeError(`expected ${pieces.bytes} bytes but received ${bytes}`);
  yield hash.digest();
}

/**
 * The checkpoint at this place if it is of this identity and undamaged, else undefined; a damaged one is removed. The
 * whole of it is checked first, so that nobody begins with pieces of a file that turns out bad.
 */
export async function readCheckpoint(path: string, identity: string): Promise<FilmPieces | undefined> {
  const file = await openOwn(path).catch(absent);
  if (!file) return undefined;
  try {
    const header = await readAt(file, 0, HEADER);
    const { size } = await file.stat();
    const bytes = header.length === HEADER ? Number(header.readBigUInt64LE(40)) : 0;
    const whole = header.subarray(0, 8).equals(MAGIC) && size === HEADER + bytes + DIGEST;
    if (whole && !header.subarray(8, 40).equals(identityBytes(identity))) return undefined;
    if (whole) {
      const hash = createHash('sha256');
      for await (const chunk of chunks(file, 0, HEADER + bytes)) hash.update(chunk);
      const digest = await readAt(file, HEADER + bytes, DIGEST);
      if (hash.digest().equals(digest)) return { bytes, [Symbol.asyncIterator]: () => payload(path, bytes) };
    }
  } finally {
    await file.close();
  }
  await rm(path, { force: true });
  return undefined;
}

async function* payload(path: string, bytes: number): AsyncGenerator<Uint8Array> {
  const file = await openOwn(path);
  try {
    yield* chunks(file, HEADER, HEADER + bytes);
  } finally {
    await file.close();
  }
}

/** Bytes from `at` up to `end`, fewer if the file is shorter. */
async function* chunks(file: FileHandle, at: number, end: number): AsyncGenerator<Uint8Array> {
  while (at < end) {
    const chunk = await readAt(file, at, Math.min(CHUNK, end - at));
    if (chunk.length === 0) return;
    yield chunk;
    at += chunk.length;
  }
}

async function readAt(file: FileHandle, at: number, length: number): Promise<Buffer> {
  const buffer = Buffer.alloc(length);
  const { bytesRead } = await file.read(buffer, 0, length, at);
  return buffer.subarray(0, bytesRead);
}

/** Removes what killed processes left half-written, and checkpoints of takes long forgotten. @returns how many */
export async function sweepCheckpoints(folder: string, now = Date.now()): Promise<number> {
  let swept = await sweepTemporary(folder);
  for (const name of await readdir(folder).catch(() => [])) {
    const path = join(folder, name);
    const age = now - ((await lstat(path).catch(() => undefined))?.mtimeMs ?? now);
    if (age < STALE_MS) continue;
    await rm(path, { force: true });
    swept++;
  }
  return swept;
}

function identityBytes(identity: string): Buffer {
  const bytes = Buffer.from(identity, 'hex');
  if (bytes.length !== 32) throw new RangeError(`expected a SHA-256 in hex but received ${identity}`);
  return bytes;
}

function absent(error: NodeJS.ErrnoException): undefined {
  if (error.code === 'ENOENT' || error.code === 'ENOTDIR') return undefined;
  throw error;
}
