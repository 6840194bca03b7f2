import { readFile } from 'node:fs/promises';
import { buildFiles } from '../../pipeline/tracer/built-files.mjs';
import { KernelHost } from '../../pipeline/tracer/kernel-host.ts';

export * from './kernel-scenes.ts';

/** Compiled once for all test files of a worker: anew, its code would begin unoptimized each time. */
let compiled: Promise<WebAssembly.Module> | undefined;

async function compile(): Promise<WebAssembly.Module> {
  return WebAssembly.compile(await readFile((await buildFiles()).kernel));
}

/** A kernel of the current sources, compiled only when they have changed. */
export async function kernel(): Promise<KernelHost> {
  compiled ??= compile();
  return KernelHost.create(await compiled);
}
