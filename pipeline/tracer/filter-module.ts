/** The module of the film filter's sums, as built: apart from the filter, so that the builder is no part of its identity. */
import { readFile } from 'node:fs/promises';
import { buildFiles } from './built-files.mjs';

let compiled: Promise<WebAssembly.Module> | undefined;

export function filterModule(): Promise<WebAssembly.Module> {
  compiled ??= compile();
  return compiled;
}

async function compile(): Promise<WebAssembly.Module> {
  const { filter } = await buildFiles();
  return WebAssembly.compile(await readFile(filter));
}
