/** Shares and a queue with the commands as they are typed and the real browser; who holds a password has a process of its own. */
import { type ChildProcess, spawn } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, readFileSync, realpathSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { main } from '../../pipeline/cli/main.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { makeCatalogue } from '../../pipeline/run/make.ts';
import { HAS_REDIS, PASSWORD, RedisServer } from '../farm/redis-server.ts';
import { optionsIn, snapshot } from '../farm/tiny.ts';
import { CAN_SEE_PROCESSES, orphansOf, processesOf } from '../faults/processes.ts';

const ROOT = resolve(import.meta.dirname, '../..');
const BIN = join(ROOT, 'pipeline/cli/bandwright.mjs');

const CONFIG = `
catalogue: tiny
title: Tiny
workshop: Test bench
template: plain-court
overrides: { chord-tolerance: 0.05 mm }
grid: { size: [ISO 52, ISO 58], metal: [yellow-18] }
shots: [three-quarter]
frame: [48 px, 48 px]
quality: { noise: 30 %, passes: 8 }
outputs: { images: [{ format: webp, widths: [48] }], glb: true }
sku: T-{size}-{metal}
`;

let folder: string;
let config: string;
let undisturbed: Record<string, string>;
beforeAll(async () => {
  folder = realpathSync(mkdtempSync(join(tmpdir(), 'bandwright-cli-farm-')));
  mkdirSync(join(folder, 'configs'));
  cpSync(join(ROOT, 'templates'), join(folder, 'templates'), { recursive: true });
  writeFileSync(join(folder, 'configs/tiny.yaml'), CONFIG);
  config = join(folder, 'configs/tiny.yaml');
  // by Node, which traces the same bits
  await makeCatalogue((await readPlan(config)).plan, optionsIn(join(folder, 'whole')));
  undisturbed = snapshot(join(folder, 'whole/tiny'));
});
afterAll(async () => {
  rmSync(folder, { recursive: true, force: true });
});

/** A command to its end, in this process. */
async function run(...args: string[]): Promise<{ code: number; said: string }> {
  let said = '';
  const stream = { write: (text: string) => (said += text), terminal: false, columns: 100 };
  return { code: await main(args, { out: stream, err: stream }), said };
}

interface Run {
  child: ChildProcess;
  ended: Promise<{ code: number | null; said: string }>;
}

function runWith(env: Record<string, string>, ...args: string[]): Run {
  const child = spawn(process.execPath, [BIN, ...args], {
    cwd: folder,
    env: { ...process.env, BANDWRIGHT_TEST_MARK: folder, ...env },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let said = '';
  for (const stream of [child.stdout, child.stderr])
    stream?.on('data', (data: Buffer) => {
      said += data;
    });
  return { child, ended: new Promise((done) => child.once('close', (code) => done({ code, said }))) };
}

it('make --shard in two folders, then merge, is the catalogue of one machine', async () => {
  const folders = ['1/2', '2/2'].map((share, i) => ({ share, out: join(folder, `share-${i + 1}`) }));
  for (const { share, out } of folders) {
    const { code, said } = await run('make', config, '--shard', share, '--out', out);
    expect(said).toMatch(/1 takes in the store; nothing is published/);
    expect(code).toBe(0);
  }
  const from = folders.map(({ out }) => out);
  const merged = await run('merge', config, '--from', ...from, '--out', join(folder, 'merged'));
  expect(merged).toMatchObject({ code: 0 });
  expect(snapshot(join(folder, 'merged/tiny'))).toEqual(undisturbed);
});

describe.skipIf(!HAS_REDIS)('make --queue and worker', () => {
  it('make the catalogue of one machine, and the password is in no process list, log, file or browser', async () => {
    const redis = await RedisServer.start(folder);
    const address = `redis://127.0.0.1:${redis.port}`;
    const secret = join(folder, 'secret');
    writeFileSync(secret, `${PASSWORD}\n`);
    const worker = runWith(
      { BANDWRIGHT_QUEUE_PASSWORD: PASSWORD },
      ...['worker', '--queue', address, '--store', 'farm', '--jobs', '1', '--json'],
    );
    const maker = runWith(
      { BANDWRIGHT_QUEUE_PASSWORD_FILE: secret },
      ...['make', 'configs/tiny.yaml', '--queue', address, '--out', 'farm', '--events', 'events.jsonl'],
    );
    try {
      const seen = watchProcesses();
      const made = await maker.ended;
      expect(made.code, made.said).toBe(0);
      worker.child.kill('SIGTERM');
      const worked = await worker.ended;
      expect(worked.code, worked.said).toBe(0);
      expect(worked.said.match(/"event":"take-done"/g)).toHaveLength(2);
      const { commands, browsers } = await seen.end();
      expect(snapshot(join(folder, 'farm/tiny'))).toEqual(undisturbed);
      rmSync(secret);
      const files = Object.values(snapshot(join(folder, 'farm'))).map((b) =>
        Buffer.from(b, 'base64').toString('latin1'),
      );
      const events = readFileSync(join(folder, 'events.jsonl'), 'latin1');
      for (const text of [...files, events, made.said, worked.said, ...commands, ...browsers])
        expect(text).not.toContain(PASSWORD);
      if (CAN_SEE_PROCESSES) {
        expect(commands.some((c) => c.includes(address))).toBe(true);
        expect(browsers.length).toBeGreaterThan(0);
        expect(await orphansOf(folder, 60_000)).toEqual([]);
      }
    } finally {
      maker.child.kill('SIGKILL');
      worker.child.kill('SIGKILL');
      await redis.kill();
    }
  });

  it('say that a password on the command line can be read, and end when it is wrong', async () => {
    const redis = await RedisServer.start(folder);
    try {
      const address = `redis://:wrong-${PASSWORD}@127.0.0.1:${redis.port}`;
      const worker = await run('worker', '--queue', address, '--store', join(folder, 'none'));
      expect(worker.code).toBe(2);
      expect(worker.said).toMatch(/^(?!.*Sesame).*BANDWRIGHT_QUEUE_PASSWORD_FILE.*queue-refused/s);
      const ends = await run('make', config, '--queue', address, '--until', '07:00');
      expect(ends.code).toBe(2);
      expect(ends.said).toMatch(/^(?!.*Sesame).*--until and --queue: .* expected one of them/s);
    } finally {
      await redis.kill();
    }
  });
});

/** Command lines of all that runs here, and the environments of browsers, seen again and again until asked to end. */
function watchProcesses() {
  const commands = new Set<string>();
  const browsers = new Set<string>();
  let over = false;
  const watching = (async () => {
    while (CAN_SEE_PROCESSES && !over) {
      for (const { pid, command } of processesOf(folder)) {
        if (!command.includes('redis-server')) commands.add(command);
        if (!/chrom|headless/i.test(command)) continue;
        try {
          browsers.add(readFileSync(`/proc/${pid}/environ`, 'latin1'));
        } catch {
          // it went while we looked
        }
      }
      await pause(250);
    }
  })();
  return {
    end: async () => {
      over = true;
      await watching;
      return { commands: [...commands], browsers: [...browsers] };
    },
  };
}
