import { expect, test } from 'vitest';
import type { CheckpointKeeper, FilmPieces } from '../../pipeline/tracer/checkpoint.ts';
import { CheckpointInbox, checkpointIdentity } from '../../pipeline/tracer/checkpoint-inbox.ts';
import { keptBytes, TILE } from '../../pipeline/tracer/film-state.ts';
import { createNodeTracer } from '../../pipeline/tracer/node-tracer.ts';
import { encodeScene } from '../../pipeline/tracer/scene-blob.ts';
import type { TraceOptions, TraceResult } from '../../pipeline/tracer/tracer.ts';
import { trialScene } from '../../pipeline/tracer/trial-scene.ts';
import { KernelHost } from './fake-kernel.ts';
import { kernel } from './kernel-fixture.ts';
import { fakeDome, smallScene } from './test-scene.ts';

const scene = smallScene({ width: 75, height: 53, dome: fakeDome(0.4, 0.1) });
const options: TraceOptions = { seed: 3, noiseTarget: 0.0266, passCap: 200 };

interface Saved {
  identity: string;
  bytes: Buffer;
}

async function collected(pieces: FilmPieces): Promise<Buffer> {
  const parts: Uint8Array[] = [];
  for await (const piece of pieces) parts.push(piece.slice());
  return Buffer.concat(parts);
}

/** `every: 0`: stretches of one tile, and a checkpoint after each. */
function keeper(from?: Saved): CheckpointKeeper & { saved: Saved[] } {
  const saved: Saved[] = [];
  return {
    every: 0,
    saved,
    load: async (identity) =>
      from?.identity === identity
        ? Object.assign(parts(from.bytes), { bytes: from.bytes.length })
        : undefined,
    save: async (identity, pieces) => {
      saved.push({ identity, bytes: await collected(pieces) });
    },
  };
}

/** In pieces that keep to no boundary of the film. */
async function* parts(bytes: Buffer): AsyncGenerator<Uint8Array> {
  for (let at = 0; at < bytes.length; at += 1013) yield bytes.subarray(at, at + 1013);
}

async function fakes(workers: number): Promise<KernelHost[]> {
  return Promise.all(Array.from({ length: workers }, () => KernelHost.create()));
}

function expectSame(a: TraceResult, b: TraceResult): void {
  expect([a.error, a.passes, a.paths]).toEqual([b.error, b.passes, b.paths]);
  a.films.forEach((film, c) => {
    expect(Buffer.from(film.data.buffer).equals(Buffer.from(b.films[c].data.buffer))).toBe(true);
  });
}

test('a take that goes on from any checkpoint ends in the same bits, on 1, 2 and 4 workers', async () => {
  const whole = await createNodeTracer(await fakes(1)).trace(scene, options);
  const first = keeper();
  const watched = await createNodeTracer(await fakes(2)).trace(scene, { ...options, checkpoints: first });
  expectSame(watched, whole);
  // one after every tile's pass, so that most lie in the midst of a pass
  const tiles = Math.ceil(75 / TILE) * Math.ceil(53 / TILE);
  expect(first.saved.length).toBeGreaterThan(3 * tiles);
  for (const share of [0, 0.1, 0.35, 0.6, 0.85, 0.999]) {
    const from = first.saved[Math.floor(share * first.saved.length)];
    for (const workers of [1, 2, 4]) {
      const again = keeper(from);
      const tracer = createNodeTracer(await fakes(workers));
      const resumed = await tracer.trace(scene, { ...options, checkpoints: again });
      expectSame(resumed, whole);
      // and it did go on instead of beginning anew
      expect(again.saved.length).toBe(first.saved.length - first.saved.indexOf(from) - 1);
    }
  }
});

test('the real kernel too', async () => {
  const real = trialScene(40, 32);
  const host = await kernel();
  const one = createNodeTracer([host]);
  const target = { ...options, noiseTarget: 0.06 };
  const whole = await one.trace(real, target);
  const first = keeper();
  await one.trace(real, { ...target, checkpoints: first });
  const from = first.saved[first.saved.length >> 1];
  const two = createNodeTracer([host, await kernel()]);
  expectSame(await two.trace(real, { ...target, checkpoints: keeper(from) }), whole);
});

test('what is not of this very take, or not a film of its size, begins anew', async () => {
  const first = keeper();
  const whole = await createNodeTracer(await fakes(1)).trace(scene, { ...options, checkpoints: first });
  const from = first.saved[first.saved.length >> 1];
  const count = async (saved: Saved) => {
    const again = keeper(saved);
    expectSame(
      await createNodeTracer(await fakes(1)).trace(scene, { ...options, checkpoints: again }),
      whole,
    );
    return again.saved.length;
  };
  const all = first.saved.length;
  expect(await count(from)).toBeLessThan(all);
  expect(await count({ ...from, bytes: from.bytes.subarray(1) })).toBe(all);
  expect(await count({ ...from, bytes: Buffer.concat([from.bytes, from.bytes]) })).toBe(all);
  // samples of a tile that no sum of blocks gives
  const odd = Buffer.from(from.bytes);
  odd.writeUInt32LE(5, 16 + 75 * 53 * 3 * 2 * 4);
  expect(await count({ ...from, bytes: odd })).toBe(all);
});

test('the identity is of scene, seed, target, cap and tracer', () => {
  const blob = (deviation: number) => encodeScene(smallScene({ dome: fakeDome(0.4, deviation) }));
  const identities = [
    checkpointIdentity(blob(0.1), options, 'a'),
    checkpointIdentity(blob(0.2), options, 'a'),
    checkpointIdentity(blob(0.1), { ...options, seed: 4 }, 'a'),
    checkpointIdentity(blob(0.1), { ...options, noiseTarget: 0.03 }, 'a'),
    checkpointIdentity(blob(0.1), { ...options, passCap: 201 }, 'a'),
    checkpointIdentity(blob(0.1), options, 'b'),
  ];
  expect(new Set(identities).size).toBe(identities.length);
  expect(checkpointIdentity(blob(0.1), { ...options }, 'a')).toBe(identities[0]);
});

test('a checkpoint takes 16 bytes a pixel and colourway, and one a pixel', () => {
  const size = { width: 800, height: 800, colourways: 4 };
  expect(keptBytes(size) / (800 * 800 * 4)).toBeLessThan(16.27);
});

test('the inbox hands pieces on in order, waits until all are kept, and passes on why they cannot be', async () => {
  const kept: Buffer[] = [];
  const plain = { every: 1, load: async () => undefined };
  const inbox = new CheckpointInbox(
    {
      ...plain,
      save: async (_identity, pieces) => {
        kept.push(await collected(pieces));
      },
    },
    'a',
    5,
  );
  await inbox.take(0, Buffer.from([1, 2]));
  await expect(inbox.take(4, Buffer.from([9]))).rejects.toThrow("expected the checkpoint's byte 2, not 4");
  // a page that begins again, as after a piece was lost
  await inbox.take(0, Buffer.from([1, 2, 3]));
  await inbox.take(3, Buffer.from([4, 5]));
  expect(kept).toEqual([Buffer.from([1, 2, 3, 4, 5])]);

  const full = new CheckpointInbox({ ...plain, save: () => Promise.reject(new Error('disk full')) }, 'a', 2);
  await expect(full.take(0, Buffer.from([1, 2]))).rejects.toThrow('disk full');
});

test('films can be taken one by one, matte last, and are then not held', async () => {
  const clear = { ...trialScene(24, 24) };
  clear.ground = { ...clear.ground, kind: 'clear' };
  const tracer = createNodeTracer([await kernel()]);
  const whole = await tracer.trace(clear, { ...options, passCap: 8 });
  const taken: [number, Float32Array][] = [];
  const result = await tracer.trace(clear, {
    ...options,
    passCap: 8,
    onFilm: async ({ data }, plane) => {
      taken.push([plane, data]);
    },
  });
  expect(result.films).toEqual([]);
  expect(result.matte).toBeUndefined();
  expect(taken).toEqual([
    [0, whole.films[0].data],
    [1, whole.matte?.data],
  ]);
});
