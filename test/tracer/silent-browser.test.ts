/** Browsers whose helper processes are gone or stand still while they start or open a page: they say nothing of it. */
import { readFileSync, rmSync } from 'node:fs';
import { setTimeout as pause } from 'node:timers/promises';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { descendants, SEES_PROCESSES } from '../../pipeline/tracer/process-tree.ts';
import { createTracerSession, type TracerSession } from '../../pipeline/tracer/session.ts';
import { signal } from './end-processes.ts';
import { fakeFiles } from './fake-files.ts';
import { fakeDome, smallScene } from './test-scene.ts';

const quick = smallScene({ width: 75, height: 53, dome: fakeDome(0.4, 0.1) });
/** what a page may take to open: a machine that is slower than that needs one try more */
const OPENS_MS = 3000;
const options = { seed: 5, noiseTarget: 0.03, passCap: 200 };

function helpers(sort = /--type=(zygote|renderer)/): number[] {
  return descendants(process.pid).filter((pid) => {
    try {
      return sort.test(readFileSync(`/proc/${pid}/cmdline`, 'latin1'));
    } catch {
      return false;
    }
  });
}

describe.skipIf(!SEES_PROCESSES)('a browser that falls silent', () => {
  let files: Awaited<ReturnType<typeof fakeFiles>>;
  let session: TracerSession;
  /** ms within which a browser is noticed to be silent and another does its work */
  let limit: number;
  beforeAll(async () => {
    files = await fakeFiles();
    const other = await createTracerSession({ files, workers: 2 });
    const began = performance.now();
    await other.trace(quick, options);
    // puppeteer would wait for a minute; how much slower others on the machine make it is seen by an undisturbed take
    limit = 20_000 + 10 * (performance.now() - began);
    await other.close();
    session = await createTracerSession({ files, workers: 2, opensMs: OPENS_MS });
  });
  afterAll(async () => {
    await session.close();
    rmSync(files.folder, { recursive: true });
  });

  async function timely(work: () => Promise<void>): Promise<void> {
    const began = performance.now();
    await work();
    expect(performance.now() - began).toBeLessThan(limit);
  }

  it('while it starts, is started again', () =>
    timely(async () => {
      const started = session.start();
      const stopped: number[] = [];
      while (stopped.length === 0) {
        stopped.push(...helpers());
        signal(stopped, 'SIGSTOP');
        await pause(2);
      }
      const { version } = await started;
      expect(version).toMatch(/Chrom/);
      for (const pid of stopped) expect(helpers()).not.toContain(pid);
    }));

  it('while a page opens, loses its take and is replaced before the next', () =>
    timely(async () => {
      await session.start();
      signal(helpers(), 'SIGSTOP');
      await expect(session.trace(quick, options)).rejects.toMatchObject({ reason: 'page-silent' });
      // a run waits as long before it tries again
      await pause(500);
      expect((await session.trace(quick, options)).films).toHaveLength(2);
    }));

  it('has no process for its way to the server that could be lost by itself', async () => {
    await session.start();
    expect(helpers()).not.toEqual([]);
    expect(helpers(/network\.mojom\.NetworkService/)).toEqual([]);
  });
});
