import { createHash } from 'node:crypto';
import { mkdir, readdir, readFile, rename, writeFile } from 'node:fs/promises';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

const TRACER = dirname(fileURLToPath(import.meta.url));
const KERNEL = join(TRACER, 'kernel');

/** What else decides the bits of a film: the packing and the tables the kernel reads. Part of the hash only. */
const PACKING = [
  'acceleration.ts',
  'albedo-table.ts',
  'convex-corners.ts',
  'kernel-host.ts',
  'kernel-memory.ts',
  'light-records.ts',
  'pixel-filter.ts',
  'scene-memory.ts',
  'spectrum.ts',
  'stone-records.ts',
  'vector.ts',
];

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

async function sources() {
  const names = (await readdir(KERNEL)).filter((name) => name.endsWith('.ts')).sort();
  return Promise.all(names.map(async (name) => [name, await readFile(join(KERNEL, name), 'utf8')]));
}

/** Documented in kernel-build.d.mts. */
export async function buildKernel(outFile) {
  const { default: asc } = await import('assemblyscript/asc');
  const files = new Map(await sources());
  const digest = createHash('sha256').update(JSON.stringify([asc.version, OPTIONS]));
  for (const [name, text] of files) digest.update(`\0${name}\0${text}`);
  for (const name of PACKING) digest.update(`\0${name}\0${await readFile(join(TRACER, name), 'utf8')}`);
  const hash = digest.digest('hex');

  const file = resolve(outFile);
  const stamp = `${file}.sha256`;
  const [found, binary] = await Promise.all([
    readFile(stamp, 'utf8').catch(() => ''),
    readFile(file).catch(() => undefined),
  ]);
  if (found === hash && binary) return { file, hash, built: false };

  await mkdir(dirname(file), { recursive: true });
  // a name of its own per process, then renamed: two builds at once never show a half-written module
  const part = `${file}.${process.pid}`;
  const { error, stderr } = await asc.main(['index.ts', '--outFile', 'out.wasm', ...OPTIONS], {
    readFile: async (name) => files.get(name) ?? null,
    listFiles: async () => [],
    writeFile: async (_name, contents) => writeFile(part, contents),
  });
  if (error) throw new Error(`kernel does not compile: ${error.message}\n${stderr.toString()}`);
  await rename(part, file);
  await writeFile(`${stamp}.${process.pid}`, hash);
  await rename(`${stamp}.${process.pid}`, stamp);
  return { file, hash, built: true };
}
