import { spawn } from 'node:child_process';
import { rmSync } from 'node:fs';
import { getPriority } from 'node:os';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { Household } from '../../pipeline/tracer/household.ts';
import { descendants, memoryOf, SEES_PROCESSES, yieldMore } from '../../pipeline/tracer/process-tree.ts';
import { createTracerSession } from '../../pipeline/tracer/session.ts';
import { TracerLost } from '../../pipeline/tracer/tracer-lost.ts';
import { signal } from './end-processes.ts';
import { fakeFiles } from './fake-files.ts';
import { fakeDome, smallScene } from './test-scene.ts';

function household(bytes: number[], means: ConstructorParameters<typeof Household>[0]) {
  const yielded: [number, number][] = [];
  const kept = new Household(means, {
    processes: () => bytes.map((_, i) => i),
    memoryOf: (pid) => bytes[pid],
    yieldMore: (pid, nice) => yielded.push([pid, nice]),
  });
  kept.look();
  return { kept, yielded };
}

test('memory is that of all processes together, and a ceiling is kept', () => {
  expect(household([1e9, 2e8], {}).kept).toMatchObject({
    memory: 1.2e9,
    excess: undefined,
    crowded: false,
  });
  expect(household([1e9, 2e8], { memory: 2e9 }).kept).toMatchObject({ excess: undefined, crowded: false });
  expect(household([1e9, 5e8], { memory: 2e9 }).kept).toMatchObject({ excess: undefined, crowded: true });
  expect(household([2e9, 5e8], { memory: 2e9 }).kept.excess).toBe('2.50 GB in use and 2.00 GB allowed');
});

test('every process is asked to yield, if anything was said of it', () => {
  expect(household([1, 1], { nice: 7 }).yielded).toEqual([
    [0, 7],
    [1, 7],
  ]);
  expect(household([1, 1], {}).yielded).toEqual([]);
});

describe.runIf(SEES_PROCESSES)('on Linux', () => {
  let files: Awaited<ReturnType<typeof fakeFiles>>;
  beforeAll(async () => {
    files = await fakeFiles();
  });
  afterAll(() => rmSync(files.folder, { recursive: true }));

  test('grandchildren are found, weighed and made to yield, threads included', async () => {
    const block = 64e6;
    const child = spawn('sh', [
      '-c',
      `"${process.execPath}" -e 'const b = Buffer.alloc(${block}, 1); console.log(b.length); setTimeout(() => {}, 60000)'; true`,
    ]);
    await new Promise((resolve) => child.stdout.once('data', resolve));
    try {
      const below = descendants(child.pid ?? 0);
      expect(below).toHaveLength(1);
      expect(descendants(child.pid ?? 0, false)).toEqual(below);
      expect(descendants(process.pid)).toEqual(expect.arrayContaining([child.pid, ...below]));
      expect(memoryOf(below[0])).toBeGreaterThan(block);
      expect(memoryOf(below[0])).toBeLessThan(block + 150e6);
      const more = getPriority() + 3;
      yieldMore(below[0], more);
      expect(getPriority(below[0])).toBe(more);
      yieldMore(below[0], more - 2);
      expect(getPriority(below[0])).toBe(more);
    } finally {
      signal(descendants(child.pid ?? 0), 'SIGKILL');
      child.kill('SIGKILL');
    }
    expect(memoryOf(2 ** 22 + 1)).toBe(0);
  });

  const endless = smallScene({ dome: fakeDome(0.4, 0.1, 5) });
  const forever = { seed: 5, noiseTarget: 0, passCap: 1e6 };

  test('a take over the ceiling is ended for its memory, with its browser, and may be tried with fewer workers', async () => {
    const session = await createTracerSession({ files, workers: 2, every: 50, memory: 50e6 });
    try {
      const { pid } = await session.start();
      const error = await session.trace(endless, forever).catch((e) => e);
      expect(error).toBeInstanceOf(TracerLost);
      expect(error).toMatchObject({ reason: 'over-memory', wantsMemory: true });
      expect(error.message).toMatch(/\d\.\d\d GB in use and 0\.05 GB allowed/);
      expect((await session.start()).pid).not.toBe(pid);
    } finally {
      await session.close();
    }
  });

  const quick = { seed: 5, noiseTarget: 0.5, passCap: 20 };
  const scene = smallScene({ dome: fakeDome(0.4, 0.1) });

  test('a browser stays for the next take while there is room, and goes when it has grown', async () => {
    for (const [memory, stays] of [
      [64e9, true],
      [1e6, false],
    ] as const) {
      const session = await createTracerSession({ files, workers: 1, memory });
      try {
        const { pid } = await session.start();
        const traced = session.trace(scene, quick);
        // a slow machine may weigh its browser before the take is done
        await (stays ? traced : traced.catch((error) => expect(error.reason).toBe('over-memory')));
        expect((await session.start()).pid === pid).toBe(stays);
      } finally {
        await session.close();
      }
    }
  });

  test('progress tells what is held, and every thread of the browser yields, which stays where there is no ceiling', async () => {
    const session = await createTracerSession({ files, workers: 2, every: 50, nice: 1 });
    const stop = new AbortController();
    try {
      let memory: number | undefined;
      await session
        .trace(endless, {
          ...forever,
          signal: stop.signal,
          onProgress: (p) => {
            memory = p.memory;
            if (memory) stop.abort();
          },
        })
        .catch(() => {});
      expect(memory).toBeGreaterThan(50e6);
      expect(memory).toBeLessThan(4e9);
      const { pid } = await session.start();
      const all = [pid ?? 0, ...descendants(pid ?? 0)];
      expect(all.length).toBeGreaterThan(1);
      const priorities = all.flatMap(priorityOf);
      expect(priorities.length).toBeGreaterThan(1);
      for (const priority of priorities) expect(priority).toBeGreaterThanOrEqual(1);
      await session.trace(scene, quick);
      expect((await session.start()).pid).toBe(pid);
    } finally {
      await session.close();
    }
  });
});

/** None of a process that has just ended: browsers start and end helpers as they please. */
function priorityOf(pid: number): number[] {
  try {
    return [getPriority(pid)];
  } catch {
    return [];
  }
}
