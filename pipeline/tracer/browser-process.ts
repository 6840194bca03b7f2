/** The end of browsers: their processes, all of them, and their profile folders. */
import type { ChildProcess } from 'node:child_process';
import { readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser } from 'puppeteer';

export const PROFILE = 'bandwright-browser-';

/** Asks the browser to close, then kills whatever of it is left. */
export async function end(browser: Browser): Promise<void> {
  const ended = gone(browser.process());
  const closed = browser.close().catch(() => {});
  await settles(Promise.all([closed, ended]), 5000);
  kill(browser.process());
  await settles(ended, 2000);
}

export function gone(child: ChildProcess | null): Promise<void> {
  return new Promise((resolve) => {
    if (!child?.pid || child.exitCode !== null || child.signalCode !== null) resolve();
    else child.once('exit', () => resolve());
  });
}

/**
 * On POSIX the browser leads a process group of its own, and all of it goes: what we started may be a shell script
 * around the browser (Debian's is), so that its end alone says nothing.
 */
export function kill(child: ChildProcess | null): void {
  try {
    if (!child?.pid) return;
    if (process.platform !== 'win32') process.kill(-child.pid, 'SIGKILL');
    else child.kill('SIGKILL');
  } catch {
    // Nothing was left.
  }
}

/** Best effort: what a dying process still writes is swept by a later start. */
export function remove(profile: string): void {
  try {
    rmSync(profile, { recursive: true, force: true, maxRetries: 5, retryDelay: 40 });
  } catch {}
}

/** Does the promise settle within `ms`? */
export async function settles(promise: Promise<unknown>, ms: number): Promise<boolean> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<boolean>((resolve) => {
    timer = setTimeout(() => resolve(false), ms);
  });
  try {
    return await Promise.race([promise.then(() => true), late]);
  } finally {
    clearTimeout(timer);
  }
}

/** Removes the profile folders of processes that were killed. */
export function sweepProfiles(): void {
  for (const name of readdirSync(tmpdir())) {
    const pid = name.startsWith(PROFILE) ? Number.parseInt(name.slice(PROFILE.length), 10) : Number.NaN;
    if (!(pid > 0) || pid === process.pid) continue;
    try {
      process.kill(pid, 0);
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'ESRCH') continue;
      remove(join(tmpdir(), name));
    }
  }
}
