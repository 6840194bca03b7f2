import { execFileSync, spawn } from 'node:child_process';
import { existsSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { afterAll, beforeAll, describe, expect, onTestFinished, test } from 'vitest';
import { takeCheckpoints } from '../../pipeline/artefacts/take-checkpoints.ts';
import type { TraceScene } from '../../pipeline/scene/trace-scene.ts';
import type { OpenBrowser } from '../../pipeline/tracer/browser.ts';
import { buildFiles } from '../../pipeline/tracer/built-files.mjs';
import type { CheckpointKeeper } from '../../pipeline/tracer/checkpoint.ts';
import { usableCores } from '../../pipeline/tracer/cores.ts';
import { KernelHost as RealKernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { createNodeTracer } from '../../pipeline/tracer/node-tracer.ts';
import {
  createTracerSession,
  type SessionOptions,
  type TracerSession,
} from '../../pipeline/tracer/session.ts';
import type { SharedBrowser } from '../../pipeline/tracer/shared-browser.ts';
import type { Film, TraceOptions } from '../../pipeline/tracer/tracer.ts';
import type { TracerLost } from '../../pipeline/tracer/tracer-lost.ts';
import { trialScene } from '../../pipeline/tracer/trial-scene.ts';
import { signal } from './end-processes.ts';
import { fakeFiles } from './fake-files.ts';
import { KernelHost } from './fake-kernel.ts';
import { fakeDome, smallScene } from './test-scene.ts';

/** Takes that run until something stops them, and quick ones. */
const endless = smallScene({ dome: fakeDome(0.4, 0.1, 5) });
const quick = smallScene({ width: 75, height: 53, dome: fakeDome(0.4, 0.1) });
/** by two workers of the session's four, since every worker costs a start */
const options: TraceOptions = { seed: 5, noiseTarget: 0.03, passCap: 200, relief: 1 };
const forever: TraceOptions = { seed: 5, noiseTarget: 0, passCap: 1e6, relief: 1 };

let files: Awaited<ReturnType<typeof fakeFiles>>;
/** Of all tests that need none of their own: one that ends the browser leaves a new one to the next. */
let session: TracerSession;
/** the browsers that it has told of as running without their sandbox */
const unsandboxed: string[] = [];

beforeAll(async () => {
  files = await fakeFiles();
  const onUnsandboxed = (path: string) => unsandboxed.push(path);
  session = await createTracerSession({ files, workers: 4, every: 50, onUnsandboxed });
});

afterAll(async () => {
  await session.close();
  rmSync(files.folder, { recursive: true });
});

/** A session of one test, closed when the test ends as it may: a browser that stays would be met by tests of other files. */
async function opened(options: SessionOptions): Promise<TracerSession> {
  const tracer = await createTracerSession(options);
  onTestFinished(() => tracer.close());
  return tracer;
}

/** The same take in this process, which costs a tenth of one in a browser. */
const inNode = async (scene: TraceScene, options: TraceOptions) =>
  createNodeTracer([await KernelHost.create()]).trace(scene, options);

const bytes = (data: Float32Array) => Buffer.from(data.buffer, data.byteOffset, data.byteLength);

/** A slow machine may take longer than `patience` ms allow to come to what is wanted: then it is tried with twice as long. */
async function patiently<T>(patience: number, attempt: (ms: number) => Promise<T | undefined>): Promise<T> {
  return (await attempt(patience)) ?? patiently(2 * patience, attempt);
}

/** Resolves at the first progress report. */
function underWay(tracer: TracerSession, more: Partial<TraceOptions> = {}, scene = endless) {
  let started = () => {};
  const first = new Promise<void>((resolve) => {
    started = resolve;
  });
  const result = tracer.trace(scene, { ...forever, onProgress: () => started(), ...more });
  // A take that fails must fail the test at once, not let it wait.
  return { result, running: Promise.race([first, result]) };
}

test('the browser traces what Node traces, bit for bit, with 1, 2 and 4 workers, and no take holds on to its scene', async () => {
  const expected = await inNode(quick, options);
  const { browser } = await (session as unknown as { tracing: SharedBrowser<OpenBrowser> }).tracing.open();
  const listeners: number[] = [];
  // which halves the session's four workers so often
  for (const relief of [2, 1, 0]) {
    const result = await session.trace(quick, { ...options, relief });
    listeners.push(browser.listenerCount('disconnected'));
    expect(result.films.map((f) => [f.width, f.height])).toEqual([
      [75, 53],
      [75, 53],
    ]);
    result.films.forEach((film, c) => {
      expect(bytes(film.data).equals(bytes(expected.films[c].data))).toBe(true);
    });
    expect(result).toMatchObject({ error: expected.error, passes: expected.passes, paths: expected.paths });
  }
  expect(listeners).toEqual(Array(3).fill(listeners[0]));
});

test('the real kernel too: the same bits in the browser as in Node', async () => {
  const built = await buildFiles();
  const scene = trialScene(72, 56);
  const module = await WebAssembly.compile(readFileSync(built.kernel));
  const expected = await createNodeTracer([await RealKernelHost.create(module)]).trace(scene, options);
  const tracer = await opened({ files: built, workers: 2 });
  const result = await tracer.trace(scene, { ...options, relief: 0 });
  await tracer.close();
  expect(result.error).toBe(expected.error);
  expect(result.error).toBeLessThan(options.noiseTarget);
  expect(bytes(result.films[0].data).equals(bytes(expected.films[0].data))).toBe(true);
  // White ground fills the corners.
  expect(result.films[0].data[0]).toBeCloseTo(scene.ground.level, 1);
});

test('progress comes while tracing, at most as often as agreed, and never falls back', async () => {
  const seen: { paths: number; passes: number; at: number }[] = [];
  const scene = smallScene({ dome: fakeDome(0.4, 0.1, 4) });
  const result = await session.trace(scene, {
    ...options,
    passCap: 64,
    noiseTarget: 0,
    onProgress: ({ paths, passes }) => seen.push({ paths, passes, at: performance.now() }),
  });
  expect(seen.length).toBeGreaterThan(1);
  expect(result.paths).toBe(64 * 64 * 48);
  for (let i = 1; i < seen.length; i++) {
    expect(seen[i].paths).toBeGreaterThanOrEqual(seen[i - 1].paths);
    expect(seen[i].passes).toBeGreaterThanOrEqual(seen[i - 1].passes);
  }
  expect((seen.at(-1)!.at - seen[0].at) / (seen.length - 1)).toBeGreaterThan(35);
});

test.each([
  ['max 100000', 8],
  ['200000 100000', 2],
  ['150000 100000', 2],
  ['50000 100000', 1],
  ['1600000 100000', 8],
])('a container with the CPU quota %s uses %i of 8 cores', (line, cores) => {
  const file = `${files.folder}/cpu.max`;
  writeFileSync(file, `${line}\n`);
  expect(usableCores(8, file)).toBe(cores);
  expect(usableCores(8, '/nowhere')).toBe(8);
});

test('takes run side by side without touching each other', async () => {
  const seeds = [1, 2];
  const alone = await Promise.all(seeds.map((seed) => inNode(quick, { ...options, seed })));
  const together = await Promise.all(seeds.map((seed) => session.trace(quick, { ...options, seed })));
  together.forEach((result, i) => {
    expect(bytes(result.films[1].data).equals(bytes(alone[i].films[1].data))).toBe(true);
  });
  expect(bytes(alone[0].films[1].data).equals(bytes(alone[1].films[1].data))).toBe(false);
});

describe('faults', () => {
  test("a page's process killed mid-take, as for want of memory: TracerLost, and a new browser", async () => {
    const { pid } = await session.start();
    const { result, running } = underWay(session);
    await running;
    const renderers = descendants(pid!).filter((p) => p.command.includes('--type=renderer'));
    signal(
      renderers.map((p) => p.pid),
      'SIGKILL',
    );
    await expect(result).rejects.toMatchObject({ name: 'TracerLost', reason: 'page-crashed' });
    await expect(session.trace(quick, options)).resolves.toBeDefined();
    expect((await session.start()).pid).not.toBe(pid);
  });

  test('a kernel that hangs: TracerLost, though the page answers', async () => {
    const hanging = smallScene({ dome: fakeDome(0, 0, 0, 3) });
    const loss = await patiently(400, async (patience) => {
      const tracer = await opened({ files, workers: 1, every: 50, patience });
      const lost: TracerLost = await tracer.trace(hanging, forever).catch((error) => error);
      await tracer.close();
      return lost.reason === 'page-silent' ? undefined : lost;
    });
    expect(loss).toMatchObject({ name: 'TracerLost', reason: 'no-progress' });
  });

  test('a browser that is frozen: TracerLost', async () => {
    const { tracer, pid, result } = await patiently(400, async (patience) => {
      const tracer = await opened({ files, workers: 1, every: 50, patience });
      const { pid } = await tracer.start();
      const { result, running } = underWay(tracer);
      result.catch(() => {});
      return running.then(
        () => ({ tracer, pid, result }),
        () => undefined,
      );
    });
    const frozen = descendants(pid!);
    signal(
      frozen.map((p) => p.pid),
      'SIGSTOP',
    );
    await expect(result).rejects.toMatchObject({ name: 'TracerLost', reason: 'page-silent' });
    // Nothing but a kill ends it now.
    await tracer.close();
    await gone(frozen.map((p) => p.pid));
  });

  test('a kernel that throws is no loss: an error with its words, not to be retried', async () => {
    for (const [mode, words] of [
      [1, 'a scene this kernel cannot load'],
      [2, 'a kernel that fails'],
    ] as const) {
      const failing = session.trace(smallScene({ dome: fakeDome(0, 0, 0, mode) }), options);
      await expect(failing).rejects.toThrow(words);
      await expect(failing).rejects.not.toMatchObject({ name: 'TracerLost' });
    }
  });

  test('abort stops the take at once, before or during it', async () => {
    const before = session.trace(endless, { ...forever, signal: AbortSignal.abort() });
    await expect(before).rejects.toMatchObject({ name: 'AbortError' });
    const controller = new AbortController();
    const { result, running } = underWay(session, { signal: controller.signal });
    await running;
    const start = performance.now();
    controller.abort();
    await expect(result).rejects.toMatchObject({ name: 'AbortError' });
    expect(performance.now() - start).toBeLessThan(5000);
    await expect(session.trace(quick, options)).resolves.toBeDefined();
  });

  test('no browser: a problem that says how to get one', async () => {
    const tracer = await opened({ files, env: { BANDWRIGHT_BROWSER: '/nowhere/chrome' } });
    await expect(tracer.trace(quick, options)).rejects.toMatchObject({
      name: 'ProblemError',
      problems: [{ code: 'no-browser', received: expect.stringContaining('/nowhere/chrome') }],
    });
    await tracer.close();
  });
});

describe('a take that was interrupted', () => {
  const slow = smallScene({ width: 75, height: 53, dome: fakeDome(0.4, 0.1, 12) });
  const once = { ...options, noiseTarget: 0, passCap: 32 };

  test('by a killed browser: TracerLost, it goes on in a new one from its checkpoint, to the same bits; a missing sandbox is told once of both', async () => {
    const whole = await inNode(quick, once);
    const checkpoints = takeCheckpoints(files.folder, 'a'.repeat(16), 0.1);
    const { sandboxed, found, pid } = await session.start();
    const watched: CheckpointKeeper = {
      ...checkpoints,
      // before the page hears that it may go on
      save: async (...args) => {
        await checkpoints.save(...args);
        killBrowser(pid!);
      },
    };
    const result = session.trace(slow, { ...once, checkpoints: watched });
    await expect(result).rejects.toMatchObject({ name: 'TracerLost', reason: 'browser-gone' });

    const seen: number[] = [];
    const resumed = await session.trace(slow, {
      ...once,
      // by all four workers, where two had begun
      relief: 0,
      checkpoints,
      onProgress: ({ paths }) => seen.push(paths),
    });
    expect(seen[0]).toBeGreaterThan(0);
    expect([resumed.paths, resumed.passes, resumed.error]).toEqual([whole.paths, whole.passes, whole.error]);
    resumed.films.forEach((film, c) => {
      expect(bytes(film.data).equals(bytes(whole.films[c].data))).toBe(true);
    });
    expect((await session.start()).pid).not.toBe(pid);
    expect(unsandboxed).toEqual(sandboxed ? [] : [found.path]);
    // Chromium refuses to run as root with it
    if (process.getuid?.() === 0) expect(sandboxed).toBe(false);
    await checkpoints.discard();
    expect(await checkpoints.load('ab'.repeat(32))).toBeUndefined();
  });

  test('films are handed over one by one, and a film nobody can take ends the take', async () => {
    const whole = await inNode(quick, options);
    const planes: number[] = [];
    const onFilm = async (film: Film, plane: number) => {
      planes.push(plane);
      expect(bytes(film.data).equals(bytes(whole.films[plane].data))).toBe(true);
    };
    const { films } = await session.trace(quick, { ...options, onFilm });
    expect(films).toEqual([]);
    expect(planes).toEqual([0, 1]);
    const full = { ...options, onFilm: () => Promise.reject(new Error('disk full')) };
    await expect(session.trace(quick, full)).rejects.toThrow('disk full');
    const unsaved = {
      every: 0.05,
      load: async () => undefined,
      save: () => Promise.reject(new Error('no place')),
    };
    await expect(session.trace(slow, { ...once, checkpoints: unsaved })).rejects.toThrow('no place');
  });
});

describe('nothing is left behind', () => {
  const profiles = (pid: number) =>
    readdirSync(tmpdir()).filter((n) => n.startsWith(`bandwright-browser-${pid}-`));

  /** A process that traces, and all processes below its browser. */
  async function tracing() {
    const code = `
      import { createTracerSession } from './pipeline/tracer/session.ts';
      import { fakeDome, smallScene } from './test/tracer/test-scene.ts';
      const session = await createTracerSession({ files: ${JSON.stringify(files)}, workers: 1, every: 50 });
      const { pid } = await session.start();
      process.once('SIGINT', () => process.exit(130));
      session.trace(smallScene({ dome: fakeDome(0.4, 0.1, 5) }), {
        seed: 1, noiseTarget: 0, passCap: 1e6, onProgress: () => console.log(pid),
      });`;
    const child = spawn(
      process.execPath,
      ['--import', './pipeline/cli/typescript.mjs', '--input-type=module', '-e', code],
      {
        stdio: ['ignore', 'pipe', 'inherit'],
      },
    );
    const pid = await new Promise<number>((resolve, reject) => {
      child.stdout.once('data', (data) => resolve(Number.parseInt(String(data), 10)));
      child.once('exit', () => reject(new Error('the child ended before it traced')));
    });
    const all = descendants(pid);
    expect(all.length).toBeGreaterThan(1);
    const end = async (signal: 'SIGINT' | 'SIGKILL') => {
      const ended = new Promise((resolve) => child.once('exit', resolve));
      child.kill(signal);
      await ended;
      await gone(all.map((p) => p.pid));
    };
    return { pid: child.pid!, end };
  }

  test('SIGKILL and SIGINT in the midst of a take leave no browser', async () => {
    const killed = await tracing();
    await killed.end('SIGKILL');
    // After a kill nobody could remove the profile; the next start does, in another process too.
    const interrupted = await tracing();
    expect(profiles(killed.pid)).toEqual([]);
    await interrupted.end('SIGINT');
    expect(profiles(interrupted.pid)).toEqual([]);
  });

  // the last, so that it may close the session of all
  test('close ends every process and removes the profile', async () => {
    const { pid } = await session.start();
    const before = descendants(pid!);
    expect(before.length).toBeGreaterThan(1);
    const own = profiles(process.pid);
    await session.close();
    await gone(before.map((p) => p.pid));
    expect(profiles(process.pid).length).toBe(own.length - 1);
  });
});

/** Not its children, which have a type; what was started may be a script around the browser. */
function killBrowser(pid: number): void {
  const main = descendants(pid).filter((p) => !p.command.includes('--type='));
  // from the inside out: the script around it ends by itself then, or is ended
  signal(main.map((p) => p.pid).reverse(), 'SIGKILL');
}

/** A process and all below it, from /proc or ps. */
function descendants(root: number): { pid: number; command: string }[] {
  const lines = execFileSync('ps', ['-eo', 'pid=,ppid=,args='], { encoding: 'utf8', maxBuffer: 1e8 }).split(
    '\n',
  );
  const all = lines.map((line) => {
    const [pid, parent, ...args] = line.trim().split(/\s+/);
    return { pid: Number(pid), parent: Number(parent), command: args.join(' ') };
  });
  const found = all.filter((p) => p.pid === root);
  for (let i = 0; i < found.length; i++) found.push(...all.filter((p) => p.parent === found[i].pid));
  return found;
}

/** Waits until none of the processes runs (zombies nobody has reaped count as gone). */
async function gone(pids: number[]): Promise<void> {
  const alive = () =>
    pids.filter((pid) => {
      try {
        process.kill(pid, 0);
      } catch {
        return false;
      }
      const stat = `/proc/${pid}/stat`;
      return !existsSync(stat) || !/\) Z /.test(readFileSync(stat, 'utf8'));
    });
  for (let i = 0; i < 600 && alive().length; i++) await new Promise((resolve) => setTimeout(resolve, 100));
  expect(alive()).toEqual([]);
}
