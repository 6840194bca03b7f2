/**
 * Takes the types off modules as they are loaded (Node's customization hooks, run in a thread of their own). What was
 * translated is kept and run again unchecked. So it is kept under node_modules, where only those can write who could
 * change the code anyway, or, where that can't be had, not at all; never in the system's temporary folder.
 *
 * Not tsx, which gives every function its name anew each time it is made, for code that asks for names of functions:
 * ours never does, and small functions made in inner loops cost a fifth of the time of building solids.
 */
import { createHash } from 'node:crypto';
import { lstatSync, mkdirSync, renameSync, writeFileSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const CACHE = fileURLToPath(new URL('../../node_modules/.cache/bandwright/typescript', import.meta.url));
const { version } = createRequire(import.meta.url)('esbuild/package.json');
/** How modules are translated: a change makes what is kept unfit. */
const OPTIONS = {
  loader: 'ts',
  format: 'esm',
  target: 'node20',
  sourcemap: 'inline',
  sourcesContent: false,
};
const HOW = `${version} ${JSON.stringify(OPTIONS)}`;

const keeps = isPrivate(CACHE);

/** A folder of this user's own, no link, that nobody else can write. Systems without users keep folders apart by themselves. */
function isPrivate(folder) {
  try {
    mkdirSync(folder, { recursive: true, mode: 0o700 });
    const uid = process.geteuid?.();
    const found = lstatSync(folder);
    return found.isDirectory() && (uid === undefined || (found.uid === uid && (found.mode & 0o022) === 0));
  } catch {
    return false;
  }
}

export async function load(url, context, next) {
  const file = url.replace(/[?#].*$/, '');
  if (!file.startsWith('file:') || !file.endsWith('.ts')) return next(url, context);
  return { format: 'module', source: await translated(fileURLToPath(file)), shortCircuit: true };
}

/** One file is kept for each module, with the hash of what it was made from in its last line. */
async function translated(path) {
  const source = await readFile(path, 'utf8');
  const mark = `\n// ${createHash('sha256').update(HOW).update(source).digest('hex')}\n`;
  const kept = join(CACHE, `${createHash('sha256').update(path).digest('hex').slice(0, 32)}.mjs`);
  const before = keeps ? await readFile(kept, 'utf8').catch(() => '') : '';
  if (before.endsWith(mark)) return before;
  const { transform } = await import('esbuild');
  const { code } = await transform(source, { ...OPTIONS, sourcefile: path });
  const text = `${code}${mark}`;
  if (keeps) keep(kept, text);
  return text;
}

/** Whole or not at all. That a full or read-only disk keeps nothing costs time alone. */
function keep(file, text) {
  const part = `${file}.${process.pid}.${performance.now()}`;
  try {
    writeFileSync(part, text, { mode: 0o600 });
    renameSync(part, file);
  } catch {
    // translated again next time
  }
}
