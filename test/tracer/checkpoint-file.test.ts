import { mkdtempSync, readdirSync, readFileSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeEach, expect, test } from 'vitest';
import type { FilmPieces } from '../../pipeline/tracer/checkpoint.ts';
import { readCheckpoint, sweepCheckpoints, writeCheckpoint } from '../../pipeline/tracer/checkpoint-file.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-checkpoint-'));
const path = join(folder, 'take');
const mine = 'ab'.repeat(32);
const other = 'cd'.repeat(32);
/** Longer than what is read at a time. */
const content = Buffer.from(Uint32Array.from({ length: 700_000 }, (_, i) => i * 2654435761).buffer);

afterAll(() => rmSync(folder, { recursive: true }));
beforeEach(async () => {
  rmSync(path, { force: true });
  await writeCheckpoint(path, mine, pieces(content));
});

function pieces(bytes: Buffer, announced = bytes.length): FilmPieces {
  return {
    bytes: announced,
    async *[Symbol.asyncIterator]() {
      for (let at = 0; at < bytes.length; at += 300_001) yield bytes.subarray(at, at + 300_001);
    },
  };
}

async function read(identity = mine): Promise<Buffer | undefined> {
  const found = await readCheckpoint(path, identity);
  if (!found) return undefined;
  const parts: Uint8Array[] = [];
  for await (const part of found) parts.push(part);
  const all = Buffer.concat(parts);
  expect(found.bytes).toBe(all.length);
  return all;
}

test('comes back as it was written, and another replaces it', async () => {
  expect((await read())?.equals(content)).toBe(true);
  await writeCheckpoint(path, other, pieces(content.subarray(9)));
  expect(await read()).toBeUndefined();
  expect((await read(other))?.equals(content.subarray(9))).toBe(true);
});

test('of something else it is not read, and stays', async () => {
  expect(await read(other)).toBeUndefined();
  expect(readdirSync(folder)).toEqual(['take']);
});

test.each([
  ['a flipped bit of the payload', (b: Buffer) => b.writeUInt8(b[200_000] ^ 4, 200_000)],
  ['a flipped bit of the digest', (b: Buffer) => b.writeUInt8(b[b.length - 1] ^ 1, b.length - 1)],
  ['another length in the header', (b: Buffer) => b.writeUInt8(b[40] ^ 1, 40)],
  ['another magic', (b: Buffer) => b.write('BWCKPT99')],
  ['a file cut short', (b: Buffer) => b.subarray(0, b.length - 1)],
  ['a file too long', (b: Buffer) => Buffer.concat([b, Buffer.from([0])])],
  ['an empty file', () => Buffer.alloc(0)],
])('%s is refused and removed', async (_name, damage) => {
  const bytes = readFileSync(path);
  const damaged = damage(bytes);
  writeFileSync(path, Buffer.isBuffer(damaged) ? damaged : bytes);
  expect(await read()).toBeUndefined();
  expect(readdirSync(folder)).toEqual([]);
});

test('a checkpoint that breaks off leaves the one before, and no temporary file', async () => {
  await expect(writeCheckpoint(path, mine, pieces(content, content.length + 1))).rejects.toThrow(RangeError);
  const broken: FilmPieces = {
    bytes: 10,
    // biome-ignore lint/correctness/useYield: it breaks off before its first piece
    async *[Symbol.asyncIterator]() {
      throw new Error('the browser is gone');
    },
  };
  await expect(writeCheckpoint(path, mine, broken)).rejects.toThrow('the browser is gone');
  expect((await read())?.equals(content)).toBe(true);
  expect(readdirSync(folder)).toEqual(['take']);
});

test('one that nobody has touched for a month is swept', async () => {
  expect(await sweepCheckpoints(folder)).toBe(0);
  const old = Date.now() / 1000 - 40 * 24 * 3600;
  utimesSync(path, old, old);
  expect(await sweepCheckpoints(folder)).toBe(1);
  expect(readdirSync(folder)).toEqual([]);
  expect(await sweepCheckpoints(join(folder, 'nowhere'))).toBe(0);
});
