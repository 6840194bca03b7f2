/**
 * What has to be built before tracing: the WebAssembly kernel, and the scripts of the browser's page and workers.
 * Plain JavaScript because set-up runs it. Documented in built-files.d.mts.
 */
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const TRACER = dirname(fileURLToPath(import.meta.url));
const require = createRequire(import.meta.url);

export const CACHE_DIR = join(TRACER, '../../node_modules/.cache/bandwright');

export async function buildFiles(cacheDir = CACHE_DIR, log = () => {}) {
  const files = {
    kernel: join(cacheDir, 'kernel.wasm'),
    page: join(cacheDir, 'page.js'),
    worker: join(cacheDir, 'worker.js'),
  };
  mkdirSync(cacheDir, { recursive: true });
  await unlessSame(join(cacheDir, 'kernel.inputs'), kernelInputs(), [files.kernel], async () => {
    log('Building the light-transport kernel');
    const { buildKernel } = await import('./kernel-build.mjs');
    await buildKernel(files.kernel);
  });
  await unlessSame(join(cacheDir, 'page.inputs'), pageInputs(), [files.page, files.worker], async () => {
    log("Building the browser's page");
    await bundle(cacheDir);
  });
  return files;
}

async function bundle(cacheDir) {
  const { build } = await import('esbuild');
  const { outputFiles } = await build({
    entryPoints: { page: join(TRACER, 'page/page.ts'), worker: join(TRACER, 'page/worker.ts') },
    outdir: cacheDir,
    bundle: true,
    format: 'esm',
    target: 'chrome100',
    write: false,
    logLevel: 'silent',
  });
  for (const file of outputFiles) replace(file.path, file.contents);
}

/** Looks at the inputs alone, without loading a compiler: set-up has to be quick when nothing is to do. */
async function unlessSame(stamp, inputs, outputs, make) {
  const before = existsSync(stamp) ? readFileSync(stamp, 'utf8') : '';
  if (before === inputs && outputs.every((file) => existsSync(file))) return;
  await make();
  replace(stamp, inputs);
}

/** Never shows a half-written file to another process. */
function replace(file, contents) {
  const part = `${file}.${process.pid}`;
  writeFileSync(part, contents);
  renameSync(part, file);
}

function kernelInputs() {
  return digest(
    [...sources(join(TRACER, 'kernel')), join(TRACER, 'kernel-build.mjs')],
    packageVersion('assemblyscript'),
  );
}

function pageInputs() {
  const shared = sources(TRACER);
  return digest(
    [...shared, ...sources(join(TRACER, 'page')), join(TRACER, 'built-files.mjs')],
    packageVersion('esbuild'),
  );
}

function sources(folder) {
  return readdirSync(folder)
    .filter((name) => name.endsWith('.ts'))
    .sort()
    .map((name) => join(folder, name));
}

function packageVersion(name) {
  return JSON.parse(readFileSync(require.resolve(`${name}/package.json`), 'utf8')).version;
}

function digest(files, version) {
  const hash = createHash('sha256').update(version);
  for (const file of files) hash.update(`\0${file.slice(TRACER.length)}\0`).update(readFileSync(file));
  return hash.digest('hex');
}
