import { mkdtemp, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { build } from 'esbuild';

/** Page and worker scripts around the fake kernel, in a folder of their own. */
export async function fakeFiles(): Promise<{ folder: string; kernel: string; page: string; worker: string }> {
  const folder = await mkdtemp(join(tmpdir(), 'bandwright-fake-'));
  await build({
    entryPoints: ['pipeline/tracer/page/page.ts', 'pipeline/tracer/page/worker.ts'],
    outdir: folder,
    bundle: true,
    format: 'esm',
    logLevel: 'silent',
    plugins: [
      {
        name: 'fake kernel',
        setup: ({ onResolve }) =>
          onResolve({ filter: /kernel-host\.ts$/ }, () => ({ path: resolve('test/tracer/fake-kernel.ts') })),
      },
    ],
  });
  const kernel = join(folder, 'kernel.wasm');
  // The empty module: magic and version.
  await writeFile(kernel, new Uint8Array([0, 97, 115, 109, 1, 0, 0, 0]));
  return { folder, kernel, page: join(folder, 'page.js'), worker: join(folder, 'worker.js') };
}
