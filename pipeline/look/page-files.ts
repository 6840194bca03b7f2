import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { buildFiles } from '../tracer/built-files.mjs';

/** What the page of the live view is made of. */
export interface PageFiles {
  page: string;
  worker: string;
  style: string;
  kernel: Uint8Array;
}

/** Scripts that run in the reader's browser; a release may bundle them beforehand. */
export const LOOK_SCRIPTS = { page: 'page.ts', worker: 'worker.ts' } as const;
/** In the order they apply; paper, ink and tables are those of the catalogue's page. */
const STYLES = [
  '../../page/reader/base.css',
  '../../page/reader/facts.css',
  'layout.css',
  'picture.css',
  'notes.css',
  'drawing.css',
  'fields.css',
];

/** Bundled once a run: a tenth of a second. */
export async function lookFiles(log?: (line: string) => void): Promise<PageFiles> {
  const { build } = await import('esbuild');
  const source = (name: string) => fileURLToPath(new URL(`./reader/${name}`, import.meta.url));
  const [{ outputFiles }, { kernel }, styles] = await Promise.all([
    build({
      entryPoints: Object.fromEntries(
        Object.entries(LOOK_SCRIPTS).map(([name, file]) => [name, source(file)]),
      ),
      outdir: '/',
      bundle: true,
      format: 'esm',
      target: 'es2022',
      minify: true,
      charset: 'utf8',
      legalComments: 'none',
      write: false,
      logLevel: 'silent',
    }),
    buildFiles(undefined, log),
    Promise.all(STYLES.map((name) => readFile(source(name), 'utf8'))),
  ]);
  const textOf = (name: string) => outputFiles.find((f) => f.path.endsWith(name))!.text;
  return {
    page: textOf('page.js'),
    worker: textOf('worker.js'),
    style: styles.join('').replace(/\/\*[\s\S]*?\*\/\n/g, ''),
    kernel: await readFile(kernel),
  };
}
