/**
 * What has to be built before tracing: the WebAssembly kernel and the film filter's, and the scripts of the browser's page and workers.
 * Plain JavaScript because set-up runs it. Documented in built-files.d.mts.
 */
import { mkdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { replace, unlessSame } from '../store/built-once.mjs';
import { BUILT_DIR, RELEASED, ROOT } from '../store/installation.mjs';

const TRACER = dirname(fileURLToPath(import.meta.url));

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
