/**
 * Lets this process run TypeScript; every way to start loads this file and none loads tsx itself (`node --import`, or
 * an import). tsx keeps what it compiled and runs it again unchecked, by default in a folder of the system's temporary
 * one whose name anybody can foretell: who makes that folder first has their code run by others. So it keeps it under
 * node_modules, where only those can write who could change the code anyway, or, where that can't be had, not at all.
 */
import { lstatSync, mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const CACHE = fileURLToPath(new URL('../../node_modules/.cache/bandwright', import.meta.url));
/** What os.tmpdir() goes by, from which tsx takes its folder while it loads. */
const TEMPORARY = ['TMPDIR', 'TMP', 'TEMP'];

const uid = process.geteuid?.();

/** A folder of this user's own, no link, that nobody else can write. */
function isPrivate(folder) {
  try {
    mkdirSync(folder, { recursive: true, mode: 0o700 });
    const found = lstatSync(folder);
    return found.isDirectory() && found.uid === uid && (found.mode & 0o022) === 0;
  } catch {
    return false;
  }
}

const before = Object.fromEntries(TEMPORARY.map((name) => [name, process.env[name]]));
// the name that tsx gives it; on Windows temporary folders are each user's own
if (uid !== undefined && !isPrivate(join(CACHE, `tsx-${uid}`))) process.env.TSX_DISABLE_CACHE = '1';
for (const name of TEMPORARY) process.env[name] = CACHE;
const { register } = await import('tsx/esm/api');
register();
for (const name of TEMPORARY) {
  if (before[name] === undefined) delete process.env[name];
  else process.env[name] = before[name];
}
