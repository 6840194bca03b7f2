/**
 * Processes and servers that are killed while takes are made, all of them real: kill -9, as the kernel does it to who
 * takes too much memory. Afterwards the catalogue must be the undisturbed one, byte for byte.
 */
import { spawn } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { build } from 'esbuild';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { BUNDLED } from '../../pipeline/cli/program.mjs';
import { makeOnQueue } from '../../pipeline/farm/queue-make.ts';
import { workTakes } from '../../pipeline/farm/worker.ts';
import type { Plan } from '../../pipeline/plan/plan.ts';
import { makeCatalogue } from '../../pipeline/run/make.ts';
import { CACHE_DIR } from '../../pipeline/store/installation.mjs';
import { HAS_REDIS, PASSWORD, RedisServer } from './redis-server.ts';
import { openTracer, optionsIn, snapshot, tinyPlan } from './tiny.ts';

const LOCK_MS = 1000;
/** `farm-process.ts` */
const PROCESS = join(CACHE_DIR, `farm-process-${process.pid}.mjs`);

describe.skipIf(!HAS_REDIS)('a farm that is disturbed', () => {
  let folder: string;
  let redis: RedisServer;
  let plan: Plan;
  let undisturbed: Record<string, string>;
  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'bandwright-kills-'));
    // bundled it starts in a third of the time
    await build({ ...BUNDLED, entryPoints: ['test/farm/farm-process.ts'], outfile: PROCESS });
    redis = await RedisServer.start(folder, { keeps: true });
    plan = await tinyPlan(folder);
    await makeCatalogue(plan, optionsIn(join(folder, 'whole')));
    undisturbed = snapshot(join(folder, 'whole/tiny'));
  });
  afterAll(async () => {
    await redis.kill();
    rmSync(folder, { recursive: true, force: true });
    rmSync(PROCESS, { force: true });
  });

  /** A maker or worker of its own, until its end. */
  function farmProcess(role: string, at: string, fault: string): Promise<NodeJS.Signals | number | null> {
    const address = `redis://:${PASSWORD}@127.0.0.1:${redis.port}`;
    const args = [PROCESS, role, address, at, `${LOCK_MS}`];
    const env = { ...process.env, BANDWRIGHT_FAULT: fault };
    const child = spawn(process.execPath, args, { env, stdio: ['ignore', 'ignore', 'inherit'] });
    return new Promise((done) => child.once('close', (code, signal) => done(signal ?? code)));
  }

  /** A worker in this process; `trace` waits for what it is given. */
  function work(out: string, before: () => Promise<void> = async () => {}) {
    const stop = new AbortController();
    const options = {
      ...optionsIn(out),
      signal: stop.signal,
      lockMs: LOCK_MS,
      openTracer: async () => {
        const tracer = await openTracer();
        return {
          ...tracer,
          trace: async (...args: Parameters<typeof tracer.trace>) => {
            await before();
            return tracer.trace(...args);
          },
        };
      },
    };
    const working = workTakes(redis.url(), options);
    return {
      end: () => {
        stop.abort();
        return working;
      },
    };
  }

  const make = (out: string, further = {}) =>
    makeOnQueue(plan, redis.url(), { ...optionsIn(out), lookMs: 50, watchMs: 150, ...further });

  const expectUndisturbed = (out: string) => {
    expect(snapshot(join(out, 'tiny'))).toEqual(undisturbed);
    const { items } = JSON.parse(readFileSync(join(out, 'tiny/catalogue.json'), 'utf8')) as {
      items: { sku: string }[];
    };
    expect(new Set(items.map((i) => i.sku)).size).toBe(items.length);
  };

  it('finishes what workers left that died in the middle of a take and of storing its films', async () => {
    const at = join(folder, 'workers');
    const out = join(at, 'out');
    const making = make(out);
    const dead = await Promise.all([
      farmProcess('worker', at, 'kill@tracer.progress#1'),
      farmProcess('worker', at, 'kill@file.rename#3'),
    ]);
    expect(dead).toEqual(['SIGKILL', 'SIGKILL']);
    const { films, records } = stored(out);
    // one had begun to store, neither take is done
    expect(films).toBeGreaterThan(0);
    expect(records.size).toBe(0);
    const worker = work(out);
    expect((await making).failed).toEqual(new Map());
    await worker.end();
    expect(stored(out).records.size).toBe(plan.takes.length);
    expectUndisturbed(out);
  });

  it('publishes what a maker left that died in the middle of it, and traces nothing twice', async () => {
    const at = join(folder, 'maker');
    const out = join(at, 'out');
    mkdirSync(at);
    const worker = work(out);
    expect(await farmProcess('maker', at, 'kill@folder.place#2')).toBe('SIGKILL');
    await worker.end();
    expect(existsSync(join(out, 'tiny/catalogue.json'))).toBe(false);
    const { records } = stored(out);
    expect(records.size).toBe(plan.takes.length);
    expect((await make(out)).failed).toEqual(new Map());
    expect(stored(out).records).toEqual(records);
    expectUndisturbed(out);
  });

  it.each([
    ['keeps what it held', true],
    ['has forgotten it all', false],
  ])('goes on when the server is killed, starts again and %s', async (_, keeps) => {
    const out = join(folder, `restart-${keeps}`);
    const restarted = gate();
    const begun = gate();
    const worker = work(out, () => {
      begun.resolve();
      return restarted.promise;
    });
    const making = make(out);
    await begun.promise;
    await redis.kill();
    await redis.start({ keeps });
    restarted.resolve();
    expect((await making).failed).toEqual(new Map());
    await worker.end();
    expectUndisturbed(out);
  });

  it('says so when the server stays away or lets nobody in any more; a rerun completes', async () => {
    const out = join(folder, 'lost');
    const waiting = gate();
    const said: string[] = [];
    const report = (e: object) => {
      said.push(JSON.stringify(e));
      if (/takes in the queue/.test(JSON.stringify(e))) waiting.resolve();
    };
    // it is at a take when the server goes, and cannot give it back
    const holding = gate();
    const ended = gate();
    const worker = work(out, () => {
      holding.resolve();
      return ended.promise;
    });
    const lost = caught(make(out, { report, patienceMs: 400 }));
    await Promise.all([waiting.promise, holding.promise]);
    await redis.kill();
    expect(await lost).toMatch(/queue-lost/);
    expect(said.join()).toMatch(/does not answer: waiting/);
    const ending = worker.end();
    ended.resolve();
    await ending;

    await redis.start();
    const again = gate();
    const refused = caught(make(out, { report: again.resolve }));
    await again.promise;
    await redis.kill();
    await redis.start({ password: 'another-word' });
    expect(await refused).toMatch(/^(?!.*(Sesame|another-word)).*queue-refused/s);

    await redis.kill();
    await redis.start();
    const fresh = work(out);
    expect((await make(out)).failed).toEqual(new Map());
    await fresh.end();
    expectUndisturbed(out);
  });
});

/** A promise and what opens it. */
function gate() {
  let resolve = () => {};
  const promise = new Promise<void>((open) => {
    resolve = open;
  });
  return { promise, resolve };
}

const caught = async (work: Promise<unknown>) => String(await work.catch((error) => error));

/** Films in the store, and takes' records with their inodes: another inode means that a take was traced anew. */
function stored(out: string): { films: number; records: Map<string, number> } {
  const store = join(out, '.bandwright/store/film');
  const records = new Map<string, number>();
  let films = 0;
  if (!existsSync(store)) return { films, records };
  for (const name of readdirSync(store, { recursive: true, encoding: 'utf8' })) {
    const file = statSync(join(store, name));
    if (!file.isFile() || name.endsWith('.tmp')) continue;
    if (readFileSync(join(store, name)).subarray(48, 49).toString() === '{') records.set(name, file.ino);
    else films++;
  }
  return { films, records };
}
