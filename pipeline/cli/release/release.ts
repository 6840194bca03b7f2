/**
 * `npm run release`: the package that others install, under output/release. Plain JavaScript with types; kernel, page
 * and browser scripts built; the identities of the code written down; every package pinned with all it depends on.
 */
import { execFileSync } from 'node:child_process';
import { cpSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { codeVersions } from '../../run/version.ts';
import { browserScript, carriedFile } from '../../store/browser-script.ts';
import { CACHE_DIR, ROOT } from '../../store/installation.mjs';
import { buildFiles } from '../../tracer/built-files.mjs';
import { releasedManifest } from './manifest.ts';
import { SIGNING_KEY, writeSums } from './sums.ts';

const HERE = join(ROOT, 'pipeline/cli/release');
const OUT = join(ROOT, 'output/release');
const PACKAGE = join(OUT, 'package');
/** Code of this folder alone: a clone's loader and the making of releases. `doctor` shares the checks of set-up. */
const FOR_CLONES =
  /^cli\/(release\/|typescript(-hooks)?\.mjs|(bandwright|program|source-places)\.)|\/kernel-build\./;

/** @returns path of the packed file */
export async function makeRelease(log: (line: string) => void): Promise<string> {
  rmSync(PACKAGE, { recursive: true, force: true });
  mkdirSync(PACKAGE, { recursive: true });
  log('Compiling');
  for (const config of ['tsconfig.json', 'types.tsconfig.json'])
    run(process.execPath, [tsc(), '-p', join(HERE, config), '--outDir', join(PACKAGE, 'pipeline')]);
  copyBeside();
  log('Building kernel, page and scripts');
  await build();
  log('Pinning packages');
  pin();
  log('Packing');
  const packed = run(npm(), ['pack', '--ignore-scripts', '--json', '--pack-destination', OUT], PACKAGE);
  const file = join(OUT, JSON.parse(packed)[0].filename);
  writeSums(file, process.env[SIGNING_KEY]);
  return file;
}

/** Everything that is not compiled but read or run: styles, schemas, plain JavaScript; templates, configs, papers. */
function copyBeside(): void {
  const pipeline = join(ROOT, 'pipeline');
  for (const name of readdirSync(pipeline, { recursive: true, encoding: 'utf8' })) {
    const path = name.replaceAll('\\', '/');
    const wanted =
      /\.(mjs|cjs|css|json|md)$/.test(path) && !/tsconfig\.json$/.test(path) && !FOR_CLONES.test(path);
    if (wanted) copy(join('pipeline', path));
  }
  for (const name of ['templates', 'configs', 'README.md', 'DEVELOPERS.md', 'CHANGES.md', 'LICENSE'])
    copy(name);
}

const copy = (path: string) => cpSync(join(ROOT, path), join(PACKAGE, path), { recursive: true });

async function build(): Promise<void> {
  const files = await buildFiles(CACHE_DIR);
  const to = (name: string) => join(PACKAGE, 'built', name);
  mkdirSync(to('.'), { recursive: true });
  for (const [name, file] of [
    ['kernel.wasm', files.kernel],
    ['filter.wasm', files.filter],
    ['page.js', files.page],
    ['worker.js', files.worker],
    ['card.js', files.card],
  ])
    cpSync(file, to(name));
  for (const module of browserModules()) {
    const file = to(carriedFile(module));
    mkdirSync(dirname(file), { recursive: true });
    writeFileSync(file, await browserScript(module));
  }
  writeFileSync(to('identities.json'), `${JSON.stringify(await codeVersions(), null, 2)}\n`);
}

/** Modules that are asked for anywhere by `browserScript('…')`: a list by hand would be one script short some day. */
function browserModules(): string[] {
  const pipeline = join(ROOT, 'pipeline');
  const sources = readdirSync(pipeline, { recursive: true, encoding: 'utf8' }).filter((f) =>
    f.endsWith('.ts'),
  );
  const asked = sources.flatMap((file) => [
    ...readFileSync(join(pipeline, file), 'utf8').matchAll(/browserScript\('([^']+)'\)/g),
  ]);
  return [...new Set(asked.map(([, module]) => module))].filter((m) => m !== '…').sort();
}

/** Writes the manifest, and the lock of all that it brings: what is installed is what was tested. */
function pin(): void {
  const lock = JSON.parse(readFileSync(join(ROOT, 'package-lock.json'), 'utf8'));
  const manifest = releasedManifest(JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')), lock);
  writeFileSync(join(PACKAGE, 'package.json'), `${JSON.stringify(manifest, null, 2)}\n`);
  // npm keeps the versions that the lock names and drops what the package doesn't bring
  cpSync(join(ROOT, 'package-lock.json'), join(PACKAGE, 'package-lock.json'));
  run(npm(), ['install', '--package-lock-only', '--ignore-scripts', '--no-audit', '--no-fund'], PACKAGE);
  run(npm(), ['shrinkwrap'], PACKAGE);
}

const npm = () => (process.platform === 'win32' ? 'npm.cmd' : 'npm');
const tsc = () => createRequire(import.meta.url).resolve('typescript/bin/tsc');

/** @throws Error with what the program said */
function run(program: string, args: string[], cwd = ROOT): string {
  try {
    return execFileSync(program, args, { cwd, encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'] });
  } catch (error) {
    const { stdout, stderr } = error as { stdout?: string; stderr?: string };
    throw new Error(`${program} ${args.slice(0, 3).join(' ')} failed:\n${stdout ?? ''}${stderr ?? ''}`);
  }
}

if (process.argv[1] === fileURLToPath(import.meta.url))
  console.log(await makeRelease((line) => console.error(line)));
