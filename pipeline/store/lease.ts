/**
 * One run at a time on an output folder, also from several machines that share it.
 *
 * The lease is the file with the highest number in <folder>/.bandwright/lease; it names its holder. Taking it means
 * making the next number by link(2), which one of several can do and which shows the file whole. Older numbers are
 * removed afterwards, the highest never is: a slow rival that makes a number that was free once finds a higher one and
 * withdraws. Giving back marks the file as free.
 *
 * No decision rests on the time of day. On one machine a holder is dead when no process has its id and start
 * (see `process-identity.ts`); elsewhere it is dead when its heartbeat, a counter, stood still for SILENT_LOOKS looks,
 * each a pause of this process apart, so that neither a jump of a clock nor this machine's sleep counts.
 */
import { randomBytes } from 'node:crypto';
import { closeSync, constants, fsyncSync, openSync, writeSync } from 'node:fs';
import { type FileHandle, link, open, readdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { reached } from '../fault-point.ts';
import { ProblemError } from '../problem.ts';
import { sweepTemporary, writeProblem, writeSynced } from './durable-file.ts';
import { readOwn } from './own-file.ts';
import { checkOwnTree, makeOwnFolder } from './own-folder.ts';
import { lifeOf, ownIdentity, type ProcessIdentity } from './process-identity.ts';

export interface Holder extends ProcessIdentity {
  /** for people: when it took the lease, by its clock */
  since: string;
}

export interface LeaseOptions {
  /** wait for another holder instead of refusing */
  wait?: boolean;
  signal?: AbortSignal;
  /** told once for every holder that is waited for or watched */
  onWait?: (holder: Holder | undefined) => void;
  /** ms between beats, and between looks at another's; 2500 unless a test says otherwise */
  beatMs?: number;
  self?: ProcessIdentity;
}

const BEAT_MS = 2500;
const SILENT_LOOKS = 12;

/** Its parts keep their places, so that beat and mark are overwritten in place, also on a full disk. */
const BEAT_AT = '{"beat":"'.length;
const HELD_AT = '{"beat":"000000000000","held":'.length;

export class Lease {
  readonly #folder: string;
  readonly #number: number;
  readonly #path: string;
  readonly #lost = new AbortController();
  readonly #release = () => this.#markFree();
  readonly #file: FileHandle;
  readonly #timer: NodeJS.Timeout;
  #beats = 0;

  private constructor(folder: string, number: number, file: FileHandle, beatMs: number) {
    this.#folder = folder;
    this.#number = number;
    this.#path = join(folder, fileName(number));
    this.#file = file;
    this.#timer = setInterval(() => this.#beat(), beatMs);
    this.#timer.unref();
    process.once('exit', this.#release);
  }

  /**
   * @param out the output folder; made if missing
   * @throws ProblemError (`folder-not-ours`) if what Bandwright keeps there is a link or another user's, (`output-in-use`) if another holds it and `wait` is not set, AbortError when the signal fires
   */
  static async take(out: string, options: LeaseOptions = {}): Promise<Lease> {
    const folder = join(out, '.bandwright', 'lease');
    const beatMs = options.beatMs ?? BEAT_MS;
    const self = options.self ?? ownIdentity();
    try {
      // what Bandwright keeps for itself in an output folder holds no links, down to the store's layers
      await makeOwnFolder(join(out, '.bandwright'));
      await makeOwnFolder(folder);
      await checkOwnTree(join(out, '.bandwright'), 3);
      for (;;) {
        options.signal?.throwIfAborted();
        const number = await highest(folder);
        if (number > 0) await untilFree(join(folder, fileName(number)), out, self, beatMs, options);
        const lease = await claim(folder, number + 1, self);
        if (lease) return new Lease(folder, number + 1, lease, beatMs);
      }
    } catch (error) {
      throw writeProblem(error, out);
    }
  }

  /** Fires when the folder was given to another run, which must have taken this one for dead. */
  get lost(): AbortSignal {
    return this.#lost.signal;
  }

  async release(): Promise<void> {
    clearInterval(this.#timer);
    process.off('exit', this.#release);
    await this.#file.close().catch(() => {});
    this.#markFree();
  }

  async #beat(): Promise<void> {
    try {
      this.#beats++;
      await this.#file.write(String(this.#beats).padStart(12, '0'), BEAT_AT);
      await this.#file.datasync();
      if ((await highest(this.#folder)) === this.#number) return;
      clearInterval(this.#timer);
      this.#lost.abort(takenOver(this.#folder));
    } catch {
      // a beat that cannot be written is no reason to stop
    }
  }

  #markFree(): void {
    try {
      // without O_CREAT: a number that was cleared away stays so
      const file = openSync(this.#path, constants.O_WRONLY);
      writeSync(file, 'false', HELD_AT);
      fsyncSync(file);
      closeSync(file);
    } catch {
      // then it is found that no such process lives
    }
  }
}

/** The file, opened, if this process is now the holder. */
async function claim(folder: string, number: number, self: ProcessIdentity): Promise<FileHandle | undefined> {
  const since = new Date().toISOString();
  const text = `{"beat":"000000000000","held":true ,${JSON.stringify({ ...self, since }).slice(1)}\n`;
  const path = join(folder, fileName(number));
  await reached('lease.take');
  if (!(await create(folder, path, text))) return undefined;
  const newest = await highest(folder);
  if (newest !== number) {
    await rm(path, { force: true });
    return undefined;
  }
  await reached('lease.taken');
  for (const old of await numbers(folder))
    if (old < number) await rm(join(folder, fileName(old)), { force: true });
  await sweepTemporary(folder);
  return open(path, 'r+');
}

function takenOver(folder: string): ProblemError {
  return new ProblemError([
    {
      code: 'output-taken-over',
      severity: 'error',
      path: folder,
      expected: 'the output folder to stay with this run',
      received: 'another run that took this one for dead, since its heartbeat stood still',
      advice: 'Nothing is lost: see whether the other run works, then run the same command again.',
    },
  ]);
}

/** Makes a file whole under a name that nobody has. */
async function create(folder: string, path: string, text: string): Promise<boolean> {
  const temporary = join(folder, `.${process.pid}.${randomBytes(6).toString('hex')}.tmp`);
  try {
    await writeSynced(temporary, text);
    await link(temporary, path);
    return true;
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code === 'EEXIST' || code === 'ENOENT') return false;
    if (code === 'EPERM' || code === 'ENOTSUP' || code === 'ENOSYS' || code === 'EMLINK')
      return createWithoutLink(path, text);
    throw error;
  } finally {
    await rm(temporary, { force: true }).catch(() => {});
  }
}

/** For file systems without links; a reader that comes too early sees an unreadable lease and watches it. */
async function createWithoutLink(path: string, text: string): Promise<boolean> {
  try {
    await writeSynced(path, text);
    return true;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') return false;
    throw error;
  }
}

/** Returns when the file's holder gave the lease back or is dead. */
async function untilFree(
  path: string,
  out: string,
  self: ProcessIdentity,
  beatMs: number,
  { wait, signal, onWait }: LeaseOptions,
): Promise<void> {
  let before: string | undefined;
  let still = 0;
  let told = false;
  for (;;) {
    const text = await readOwn(path).then(String, () => undefined);
    if (text === undefined) return; // cleared away: a newer one is there
    const lease = parse(text);
    if (lease && !lease.held) return;
    const life = lease ? lifeOf(lease.holder, self) : 'unknown';
    if (life === 'dead') return;
    const moved = before !== undefined && text !== before;
    if ((life === 'alive' || moved) && !wait) throw inUse(out, lease?.holder);
    still = life === 'alive' || moved ? 0 : still + 1;
    if (still > SILENT_LOOKS) return;
    before = text;
    if (!told) onWait?.(lease?.holder);
    told = true;
    await pause(beatMs, undefined, { signal });
  }
}

function parse(text: string): { held: boolean; holder: Holder } | undefined {
  try {
    const { held, beat: _, ...holder } = JSON.parse(text);
    return typeof holder.pid === 'number' ? { held, holder } : undefined;
  } catch {
    return undefined;
  }
}

function inUse(out: string, holder: Holder | undefined): ProblemError {
  const who = holder
    ? `one that process ${holder.pid} on ${holder.host} has been using since ${holder.since}`
    : 'one that another run is using';
  return new ProblemError([
    {
      code: 'output-in-use',
      severity: 'error',
      path: out,
      expected: 'a folder that no other run is using',
      received: who,
      advice: 'Wait for it to end (--wait does), stop it, or choose another folder with --out.',
    },
  ]);
}

async function numbers(folder: string): Promise<number[]> {
  const names = await readdir(folder);
  return names.filter((n) => /^\d{8}$/.test(n)).map(Number);
}

const highest = async (folder: string) => Math.max(0, ...(await numbers(folder)));
const fileName = (number: number) => String(number).padStart(8, '0');
