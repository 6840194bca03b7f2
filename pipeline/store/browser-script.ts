import { mkdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { replace, unlessSame } from './built-once.mjs';
import { BUILT_DIR, RELEASED, ROOT } from './installation.mjs';

const asked = new Map<string, Promise<string>>();

/**
 * Code that runs in a reader's browser, with all that it imports, as one script. A clone bundles it when its sources
 * have changed, a released package carries it. Equal sources give equal text.
 * @param module path of the module that starts it, from `pipeline/`, with forward slashes
 */
export function browserScript(module: string): Promise<string> {
  let script = asked.get(module);
  if (!script) asked.set(module, (script = RELEASED ? carried(module) : remembered(module)));
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

async function remembered(module: string): Promise<string> {
  const file = join(BUILT_DIR, carriedFile(module));
  let text: string | undefined;
  await unlessSame(`${file}.inputs`, 'esbuild', [file], async () => {
    const bundle = await bundled(module);
    text = bundle.text;
    mkdirSync(dirname(file), { recursive: true });
    replace(file, text);
    return bundle.inputs;
  }).catch((error) => {
    // a folder that cannot be written costs time alone
    if (text === undefined) throw error;
  });
  return text ?? readFileSync(file, 'utf8');
}

async function bundled(module: string): Promise<{ text: string; inputs: string[] }> {
  const { build } = await import('esbuild');
  const { outputFiles, metafile } = await build({
    entryPoints: [join(ROOT, 'pipeline', module)],
    absWorkingDir: ROOT,
    bundle: true,
    format: 'iife',
    target: 'es2022',
    minify: true,
    charset: 'utf8',
    legalComments: 'none',
    write: false,
    metafile: true,
    logLevel: 'silent',
  });
  const inputs = Object.keys(metafile.inputs).map((file) => join(ROOT, file));
  return { text: outputFiles[0].text, inputs: [...inputs, fileURLToPath(import.meta.url)] };
}
