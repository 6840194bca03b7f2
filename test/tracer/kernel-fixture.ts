import { readFile } from 'node:fs/promises';
import { buildFiles } from '../../pipeline/tracer/built-files.mjs';
import { KernelHost } from '../../pipeline/tracer/kernel-host.ts';

export * from './kernel-scenes.ts';

/** A kernel of the current sources, compiled only when they have changed. */
export async function kernel(): Promise<KernelHost> {
  const built = await buildFiles();
  return KernelHost.create(await WebAssembly.compile(await readFile(built.kernel)));
}
