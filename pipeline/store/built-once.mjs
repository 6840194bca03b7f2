/** What is built from sources, once for as long as they stay. Plain JavaScript because set-up runs it. */
import { createHash } from 'node:crypto';
import { existsSync, readFileSync, renameSync, statSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join, relative } from 'node:path';
import { ROOT } from './installation.mjs';

const require = createRequire(import.meta.url);

/**
 * Looks at the inputs of the last build alone, without loading a compiler: set-up has to be quick when nothing is to do.
 * What a build reads can only change with one of the files that it read.
 * Documented in built-once.d.mts.
 */
export async function unlessSame(stamp, compiler, outputs, make) {
  const version = `${compiler} ${packageVersion(compiler)}`;
  const before = readStamp(stamp);
  if (before?.version === version && outputs.every((file) => existsSync(file)) && unchanged(before, stamp))
    return;
  const read = (await make()).map((file) => relative(ROOT, file).replaceAll('\\', '/'));
  const inputs = [...new Set(read)].sort();
  replace(stamp, JSON.stringify({ version, inputs, states: fileStates(inputs), digest: digest(inputs) }));
}

/**
 * Six hundred files take twenty times as long to read as to look at; read they are, once, where the clone was copied or
 * touched.
 */
function unchanged(before, stamp) {
  const states = fileStates(before.inputs);
  if (before.states === states) return true;
  if (before.digest !== digest(before.inputs)) return false;
  try {
    replace(stamp, JSON.stringify({ ...before, states }));
  } catch {
    // where nothing can be written they are read each time
  }
  return true;
}

/** Documented in built-once.d.mts. */
export function fileStates(files) {
  const states = files.map((file) => {
    const { ino, size, mtimeMs, ctimeMs } = statSync(`${ROOT}/${file}`, { throwIfNoEntry: false }) ?? {};
    return `${file} ${ino} ${size} ${mtimeMs} ${ctimeMs}\n`;
  });
  return createHash('sha256').update(states.join('')).digest('hex');
}

function readStamp(stamp) {
  try {
    return JSON.parse(readFileSync(stamp, 'utf8'));
  } catch {
    // none yet, or of an older version
    return undefined;
  }
}

/** Never shows a half-written file to another process. */
export function replace(file, contents) {
  const part = `${file}.${process.pid}`;
  writeFileSync(part, contents);
  renameSync(part, file);
}

function packageVersion(name) {
  return JSON.parse(readFileSync(require.resolve(`${name}/package.json`), 'utf8')).version;
}

/** Of named files relative to the root; undefined if one is gone. */
function digest(files) {
  const hash = createHash('sha256');
  for (const file of files) {
    const path = join(ROOT, file);
    if (!existsSync(path)) return undefined;
    hash.update(`\0${file}\0`).update(readFileSync(path));
  }
  return hash.digest('hex');
}
