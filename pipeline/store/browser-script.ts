import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { BUILT_DIR, RELEASED, ROOT } from './installation.mjs';

const bundled = new Map<string, Promise<string>>();

/**
 * Code that runs in a reader's browser, with all that it imports, as one script. A clone bundles it once a process, a
 * released package carries it. Equal sources give equal text.
 * @param module path of the module that starts it, from `pipeline/`, with forward slashes
 */
export function browserScript(module: string): Promise<string> {
  let script = bundled.get(module);
  if (!script) bundled.set(module, (script = RELEASED ? carried(module) : bundle(module)));
  return script;
}

/**
 * Style sheets one after the other, as one, without their comments.
 * @param files paths from `pipeline/`, with forward slashes, in the order in which they apply
 */
export function browserStyle(files: readonly string[]): string {
  const texts = files.map((file) => readFileSync(join(ROOT, 'pipeline', file), 'utf8'));
  return texts.join('').replace(/\/\*[\s\S]*?\*\/\n/g, '');
}

/** Where a release keeps it, from the folder of what is built. */
export function carriedFile(module: string): string {
  return `scripts/${module.replace(/\.ts$/, '.js')}`;
}

async function carried(module: string): Promise<string> {
  return readFileSync(join(BUILT_DIR, carriedFile(module)), 'utf8');
}

async function bundle(module: string): Promise<string> {
  const { build } = await import('esbuild');
  const { outputFiles } = await build({
    entryPoints: [join(ROOT, 'pipeline', module)],
    bundle: true,
    format: 'iife',
    target: 'es2022',
    minify: true,
    charset: 'utf8',
    legalComments: 'none',
    write: false,
    logLevel: 'silent',
  });
  return outputFiles[0].text;
}
