import { spawn } from 'node:child_process';
import { mkdtemp, readdir, readFile, rm, utimes, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Lease } from '../../pipeline/store/lease.ts';
import { ownIdentity } from '../../pipeline/store/process-identity.ts';

let out: string;
beforeEach(async () => {
  out = await mkdtemp(join(tmpdir(), 'bandwright-lease-'));
});
afterEach(() => rm(out, { recursive: true, force: true }));

const folder = () => join(out, '.bandwright/lease');
const self = ownIdentity();
/** A machine of which nothing can be known here but its heartbeat. */
const elsewhere = {
  ...self,
  pid: 4242,
  host: 'other-bench',
  machine: 'm',
  boot: 'b',
  space: 'pid:[1]',
  start: '7',
};
const quick = { beatMs: 15 };
/** Looks so seldom that a machine which is slow to write beats is not taken for one that stands still. */
const calm = { beatMs: 100 };

describe('a lease', () => {
  it('is one holder’s, who is named to others', async () => {
    const first = await Lease.take(out);
    await expect(Lease.take(out)).rejects.toMatchObject({
      problems: [
        {
          code: 'output-in-use',
          received: expect.stringContaining(`process ${process.pid} on ${self.host}`),
        },
      ],
    });
    await first.release();
    await (await Lease.take(out)).release();
  });

  it('goes to those who wait, one after the other', async () => {
    let holders = 0;
    let most = 0;
    const work = async () => {
      const lease = await Lease.take(out, { wait: true, ...quick });
      most = Math.max(most, ++holders);
      await new Promise((resolve) => setTimeout(resolve, 5));
      holders--;
      await lease.release();
    };
    await Promise.all(Array.from({ length: 12 }, work));
    expect(most).toBe(1);
    // the number in force, and none of those before it
    expect(await readdir(folder())).toHaveLength(1);
  });

  it('of a process that was killed is free at once, also if its number was given again', async () => {
    const code = `
      import { Lease } from ${JSON.stringify(new URL('../../pipeline/store/lease.ts', import.meta.url).href)};
      await Lease.take(process.argv[1]);
      console.log('taken');
      setInterval(() => {}, 1000);`;
    const child = spawn(
      process.execPath,
      ['--import', './pipeline/cli/typescript.mjs', '--input-type=module', '-e', code, out],
      {
        stdio: ['ignore', 'pipe', 'inherit'],
      },
    );
    await new Promise((resolve) => child.stdout.once('data', resolve));
    await expect(Lease.take(out)).rejects.toThrow(`process ${child.pid}`);
    child.kill('SIGKILL');
    await new Promise((resolve) => child.once('exit', resolve));
    await (await Lease.take(out)).release();

    // this very process has the number, but it began at another time
    (await await Lease.take(out, { self: { ...self, start: '1' } })) satisfies Lease;
    await (await Lease.take(out)).release();
  });

  it('does not outlive a boot of its machine', async () => {
    await Lease.take(out, { self: { ...self, boot: 'an earlier boot' } });
    if (self.machine) await (await Lease.take(out)).release();
  });

  it('held elsewhere lives by its heartbeat alone, whatever the clocks say', async () => {
    const held = await Lease.take(out, { self: elsewhere, ...quick });
    const [name] = await readdir(folder());
    await utimes(join(folder(), name), new Date(0), new Date(0));
    await expect(Lease.take(out, calm)).rejects.toThrow('other-bench');
    await utimes(join(folder(), name), new Date(4e12), new Date(4e12));
    await expect(Lease.take(out, calm)).rejects.toThrow('other-bench');
    await held.release();
    await (await Lease.take(out, quick)).release();
  });

  it('whose heartbeat stands still is taken over, and its holder is told', async () => {
    // beats once an hour: dead, as far as anybody can see
    const dead = await Lease.take(out, { self: elsewhere, beatMs: 3_600_000 });
    await (await Lease.take(out, quick)).release();
    await dead.release();

    const slow = await Lease.take(out, { self: elsewhere, beatMs: 1000 });
    // it waits: one that is slow itself may see a beat
    const next = await Lease.take(out, { wait: true, ...quick });
    if (!slow.lost.aborted) await new Promise((resolve) => slow.lost.addEventListener('abort', resolve));
    expect(slow.lost.reason).toMatchObject({ problems: [{ code: 'output-taken-over' }] });
    // what the late one does to its mark hurts nobody
    await slow.release();
    await expect(Lease.take(out)).rejects.toThrow(`process ${process.pid}`);
    await next.release();
  });

  it('that cannot be read is watched and then taken over', async () => {
    await (await Lease.take(out)).release();
    const [name] = await readdir(folder());
    await writeFile(join(folder(), name), '');
    const lease = await Lease.take(out, quick);
    expect(JSON.parse(await readFile(join(folder(), '00000002'), 'utf8'))).toMatchObject({ held: true });
    await lease.release();
  });

  it('that is waited for can be given up', async () => {
    const held = await Lease.take(out);
    const stop = new AbortController();
    const waiting = Lease.take(out, { wait: true, signal: stop.signal, ...quick });
    stop.abort();
    await expect(waiting).rejects.toMatchObject({ name: 'AbortError' });
    await held.release();
  });
});
