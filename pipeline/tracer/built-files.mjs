/**
 * What has to be built before tracing: the WebAssembly kernel and the film filter's, and the scripts of the browser's page and workers.
 * Plain JavaScript because set-up runs it. Documented in built-files.d.mts.
 */
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { BUILT_DIR, RELEASED, ROOT } from '../store/installation.mjs';

const TRACER = dirname(fileURLToPath(import.meta.url));
const require = createRequire(import.meta.url);

export async function buildFiles(cacheDir = BUILT_DIR, log = () => {}) {
  const files = {
    kernel: join(cacheDir, 'kernel.wasm'),
    filter: join(cacheDir, 'filter.wasm'),
    page: join(cacheDir, 'page.js'),
    worker: join(cacheDir, 'worker.js'),
    card: join(cacheDir, 'card.js'),
  };
  if (RELEASED && cacheDir === BUILT_DIR) return files;
  mkdirSync(cacheDir, { recursive: true });
  await unlessSame(join(cacheDir, 'kernel.inputs'), 'assemblyscript', [files.kernel], async () => {
    log('Building the light-transport kernel');
    const { compileKernel } = await import('./kernel-build.mjs');
    const { binary, inputs } = await compileKernel();
    replace(files.kernel, binary);
    return [...inputs, join(TRACER, 'kernel-build.mjs')];
  });
  await unlessSame(join(cacheDir, 'filter.inputs'), 'assemblyscript', [files.filter], async () => {
    const { compileKernel } = await import('./kernel-build.mjs');
    const { binary, inputs } = await compileKernel('filter.ts');
    replace(files.filter, binary);
    return [...inputs, join(TRACER, 'kernel-build.mjs')];
  });
  const scripts = [files.page, files.worker, files.card];
  await unlessSame(join(cacheDir, 'page.inputs'), 'esbuild', scripts, async () => {
    log("Building the browser's page");
    return [...(await bundle(cacheDir)), join(TRACER, 'built-files.mjs')];
  });
  return files;
}

/** @returns the files that the bundler read */
async function bundle(cacheDir) {
  const { build } = await import('esbuild');
  const { outputFiles, metafile } = await build({
    entryPoints: Object.fromEntries(
      ['page', 'worker', 'card'].map((name) => [name, join(TRACER, `page/${name}.ts`)]),
    ),
    absWorkingDir: ROOT,
    outdir: cacheDir,
    bundle: true,
    format: 'esm',
    target: 'chrome100',
    write: false,
    metafile: true,
    logLevel: 'silent',
  });
  for (const file of outputFiles) replace(file.path, file.contents);
  return Object.keys(metafile.inputs).map((file) => join(ROOT, file));
}

/**
 * Looks at the inputs of the last build alone, without loading a compiler: set-up has to be quick when nothing is to do.
 * What a build reads can only change with one of the files that it read.
 *
 * @param {string} stamp where the inputs of the last build are noted
 * @param {string} compiler the package that builds
 * @param {string[]} outputs
 * @param {() => Promise<string[]>} make builds and returns the files it read
 */
export async function unlessSame(stamp, compiler, outputs, make) {
  const version = `${compiler} ${packageVersion(compiler)}`;
  const before = readStamp(stamp);
  const same = before && before.version === version && before.digest === digest(before.inputs);
  if (same && outputs.every((file) => existsSync(file))) return;
  const read = (await make()).map((file) => relative(ROOT, file).replaceAll('\\', '/'));
  const inputs = [...new Set(read)].sort();
  replace(stamp, JSON.stringify({ version, inputs, digest: digest(inputs) }));
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
