import { readFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const KERNEL = join(dirname(fileURLToPath(import.meta.url)), 'kernel');

/**
 * No managed memory (stub runtime), no bounds or null checks (noAssert: only raw loads and stores are used), memory made
 * by the host. -O3 without shrinking; `--converge` was tried and changed nothing measurable.
 */
const OPTIONS = [
  '--runtime',
  'stub',
  '--optimizeLevel',
  '3',
  '--shrinkLevel',
  '0',
  '--noAssert',
  '--enable',
  'simd',
  '--importMemory',
  '--initialMemory',
  '16',
  '--use',
  'abort=',
  // v128 never crosses to JavaScript; exports between modules are meant
  '--disableWarning',
  '112',
];

/** Documented in kernel-build.d.mts. */
export async function compileKernel(entry = 'index.ts') {
  const { default: asc } = await import('assemblyscript/asc');
  const inputs = [];
  let binary;
  const { error, stderr } = await asc.main([entry, '--outFile', 'out.wasm', ...OPTIONS], {
    readFile: async (name) => {
      const file = join(KERNEL, name);
      const text = await readFile(file, 'utf8').catch(() => null);
      if (text !== null) inputs.push(file);
      return text;
    },
    listFiles: async () => [],
    writeFile: async (_name, contents) => {
      binary = contents;
    },
  });
  if (error) throw new Error(`kernel does not compile: ${error.message}\n${stderr.toString()}`);
  return { binary, inputs };
}
