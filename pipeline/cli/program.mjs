/**
 * The command as a clone runs it: bundled, because Node takes twice as long to load its six hundred modules one by one
 * through a translator (1.9 s of processor time for 3.2 to plan the demo), and then longer than need be to find some three
 * hundred of packages.
 */
import { createHash } from 'node:crypto';
import { mkdirSync, readdirSync, readFileSync, rmSync, statSync } from 'node:fs';
import { basename, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { replace, unlessSame } from '../store/built-once.mjs';
import { CACHE_DIR, ROOT } from '../store/installation.mjs';

const FOLDER = join(CACHE_DIR, 'program');
const ENTRY = 'pipeline/cli/main.ts';
/** Of this place: what is named beside a module is named by its path, and a clone may be moved or copied with what was built. */
const MAIN = join(FOLDER, `main-${createHash('sha256').update(ROOT).digest('hex').slice(0, 12)}.mjs`);
/** Packages that look for files beside their code, or that most commands do without, stay where they are. */
const APART = [
  '@aws-sdk/client-s3',
  '@sparticuz/chromium',
  'assemblyscript',
  'bullmq',
  'draco3d',
  'esbuild',
  'ioredis',
  'manifold-3d',
  'webgpu',
];
const INSTEAD = {
  // only the core, as in a release: the rest reads a configuration that names a browser, and ours is named by us
  puppeteer: 'puppeteer-core',
  'brotli/decompress.js': join(ROOT, 'pipeline/cli/brotli.mjs'),
};
/** what packages of the older kind ask for Node's own modules by */
const REQUIRE = `import { createRequire as finder } from 'node:module';\nconst require = finder(import.meta.url);`;
/** ms that files of older builds stay for what still runs and loads the rest of itself when it needs it */
const KEPT = 30 * 24 * 3600e3;

/** @returns {Promise<string>} address of the module whose `main` is that of main.ts, built anew if any file of it has changed */
export async function program() {
  mkdirSync(FOLDER, { recursive: true });
  await unlessSame(join(FOLDER, 'inputs.json'), 'esbuild', [MAIN], build);
  return pathToFileURL(MAIN).href;
}

/** @returns the files that it was made from */
async function build() {
  const { build: bundle } = await import('esbuild');
  const { outputFiles, metafile } = await bundle({
    ...BUNDLED,
    entryPoints: [ENTRY],
    outdir: FOLDER,
    // files of different builds never share a name
    entryNames: '[name]-[hash]',
    outExtension: { '.js': '.mjs' },
    splitting: true,
    sourcemap: true,
    sourcesContent: false,
    write: false,
    metafile: true,
  });
  for (const { path, contents } of outputFiles) replace(path, contents);
  const [entry] = Object.entries(metafile.outputs).find(([, { entryPoint }]) => entryPoint === ENTRY);
  replace(MAIN, `export { main } from './${basename(entry)}';\n`);
  const built = new Set([MAIN, ...outputFiles.map(({ path }) => path)].map((path) => basename(path)));
  for (const name of readdirSync(FOLDER)) {
    const file = join(FOLDER, name);
    if (!built.has(name) && Date.now() - statSync(file).mtimeMs > KEPT) rmSync(file, { force: true });
  }
  const own = Object.keys(metafile.inputs).filter((file) => !file.includes('node_modules/'));
  // by which set-up installs packages
  return [...[...own, 'package-lock.json'].map((file) => join(ROOT, file)), fileURLToPath(import.meta.url)];
}

/** What is named beside a module is found beside the module, not beside the bundle. */
const whereTheyLie = {
  name: 'where they lie',
  setup({ onLoad }) {
    onLoad({ filter: /[\\/](pipeline|test)[\\/].*\.(ts|mjs)$/ }, ({ path }) => {
      const source = readFileSync(path, 'utf8');
      if (!source.includes('import.meta.url')) return undefined;
      const contents = source.replaceAll('import.meta.url', JSON.stringify(pathToFileURL(path).href));
      return { contents, loader: path.endsWith('ts') ? 'ts' : 'js' };
    });
  },
};

/** How esbuild bundles what runs under Node; what it makes must lie below node_modules, where packages are found that stay apart. */
export const BUNDLED = {
  absWorkingDir: ROOT,
  bundle: true,
  format: 'esm',
  platform: 'node',
  target: 'node20',
  external: APART,
  alias: INSTEAD,
  banner: { js: REQUIRE },
  minifyWhitespace: true,
  legalComments: 'none',
  logLevel: 'silent',
  plugins: [whereTheyLie],
};
