/**
 * One set-up at a time for one copy of the repository. The lock lies outside node_modules, which `npm ci` deletes, and
 * within the copy: in a shared folder for temporary files others could put one that never goes.
 */
import { readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

/**
 * Does `work` while nobody else does for the same root; a lock left by a process that is gone counts for nothing.
 *
 * @template T
 * @param {string} root
 * @param {(line: string) => void} log
 * @param {() => Promise<T>} work
 * @returns {Promise<T>}
 */
export async function alone(root, log, work) {
  const file = join(root, '.setup.lock');
  let told = false;
  while (!take(file)) {
    if (!told) log('Waiting for another set-up of this folder to end');
    told = true;
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
  const release = () => rmSync(file, { force: true });
  process.once('exit', release);
  try {
    return await work();
  } finally {
    process.off('exit', release);
    release();
  }
}

function take(file) {
  try {
    writeFileSync(file, String(process.pid), { flag: 'wx' });
    return true;
  } catch (error) {
    if (error.code !== 'EEXIST') throw error;
  }
  const owner = holder(file);
  if (owner === undefined || alive(owner)) return false;
  // Rename is atomic: of several that find the owner gone, one removes the lock. Should it have caught the fresh
  // lock of a quicker one, it puts that back.
  const aside = `${file}.${process.pid}`;
  try {
    renameSync(file, aside);
    if (holder(aside) === owner) rmSync(aside);
    else renameSync(aside, file);
  } catch {
    // Somebody else was quicker.
  }
  return false;
}

/** Process id in the lock; undefined while it is being written or when it just went. */
function holder(file) {
  try {
    return Number.parseInt(readFileSync(file, 'utf8'), 10) || undefined;
  } catch {
    return undefined;
  }
}

function alive(pid) {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return error.code !== 'ESRCH';
  }
}
