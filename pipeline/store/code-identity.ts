import { createHash } from 'node:crypto';
import { existsSync, readFileSync } from 'node:fs';
import { builtinModules } from 'node:module';
import { dirname, join, relative, resolve } from 'node:path';
import type { Metafile, Plugin } from 'esbuild';

/**
 * The identity of code, computed: what runs when some modules are used, and nothing else. It is a hash over those
 * modules and all that they import, bundled without what none of it uses, without types, comments and layout, and over
 * the versions of the packages in it. So what is made by other code has another key, and a comment makes nothing anew.
 */
export interface CodeIdentity {
  /** 16 hex digits */
  hash: string;
  /** files whose code is in it, relative to the root, sorted */
  files: string[];
  /** packages whose code is in it, as name@version, sorted */
  packages: string[];
}

export interface CodeIdentityOptions {
  /** folder that `modules` are named from */
  root: string;
  /** texts of files instead of what is on disk, by absolute path */
  instead?: Readonly<Record<string, string>>;
}

/**
 * Of several uses at once, each by its name: what they share is read once.
 * @param uses paths of the modules that are used, relative to the root, with forward slashes
 * @throws Error with the bundler's report if one of them cannot be read or parsed
 */
export async function codeIdentities(
  uses: Readonly<Record<string, readonly string[]>>,
  { root, instead }: CodeIdentityOptions,
): Promise<Record<string, CodeIdentity>> {
  // a released package has its identities written down, and no bundler
  const { build } = await import('esbuild');
  const names = Object.keys(uses);
  const { outputFiles, metafile } = await build({
    entryPoints: names.map((name) => ({ in: `${USE}:${name}`, out: name })),
    outdir: root,
    absWorkingDir: root,
    bundle: true,
    write: false,
    metafile: true,
    format: 'esm',
    platform: 'node',
    target: 'node20',
    packages: 'external',
    legalComments: 'none',
    minifyWhitespace: true,
    logLevel: 'silent',
    plugins: [using(uses, root), ...(instead ? [replacing(instead)] : [])],
  });
  const texts = new Map(outputFiles.map(({ path, text }) => [relative(root, path), text]));
  const found = names.map((name) => {
    const file = `${name}.js`;
    return [name, identityOf(texts.get(file) ?? '', metafile.outputs[file], root)] as const;
  });
  return Object.fromEntries(found);
}

function identityOf(text: string, output: Metafile['outputs'][string], root: string): CodeIdentity {
  const used = Object.entries(output.inputs).filter(([, { bytesInOutput }]) => bytesInOutput > 0);
  const imported = output.imports.filter((i) => i.external).map((i) => packageName(i.path));
  const packages = versionsOf(
    [...new Set(imported)].filter((name) => !builtinModules.includes(name)),
    root,
  );
  const hash = createHash('sha256').update(text).update(JSON.stringify(packages));
  return {
    hash: hash.digest('hex').slice(0, 16),
    files: used.map(([file]) => file).sort(),
    packages,
  };
}

const USE = 'use';

/** A module of its own for each use, which imports all that is used. */
function using(uses: Readonly<Record<string, readonly string[]>>, root: string): Plugin {
  return {
    name: 'using',
    setup({ onResolve, onLoad }) {
      onResolve({ filter: new RegExp(`^${USE}:`) }, ({ path }) => ({
        path: path.slice(USE.length + 1),
        namespace: USE,
      }));
      onLoad({ filter: /^/, namespace: USE }, ({ path }) => ({
        contents: uses[path].map((file, i) => `export * as m${i} from './${file}';`).join('\n'),
        resolveDir: root,
      }));
    },
  };
}

/** Asks for the named files alone: to be asked for each would take the bundler ten times as long. */
function replacing(texts: Readonly<Record<string, string>>): Plugin {
  const names = Object.keys(texts).map((path) => path.replace(/[.*+?^${}()|[\]\\]/g, '\\$&'));
  return {
    name: 'replacing',
    setup({ onLoad }) {
      onLoad({ filter: new RegExp(`^(?:${names.join('|')})$`) }, ({ path }) => ({
        contents: texts[path],
        loader: path.endsWith('ts') ? 'ts' : 'js',
      }));
    },
  };
}

function packageName(path: string): string {
  const parts = path.replace(/^node:/, '').split('/');
  return path.startsWith('@') ? parts.slice(0, 2).join('/') : parts[0];
}

/** The packages with all that they depend on, as name@version: a fault mended two packages down changes what is made. */
function versionsOf(names: readonly string[], root: string): string[] {
  const found = new Set<string>();
  const visit = (name: string, from: string): void => {
    const manifest = manifestOf(name, from);
    if (!manifest) return;
    const { version, dependencies = {} } = JSON.parse(readFileSync(manifest, 'utf8'));
    const id = `${name}@${version}`;
    if (found.has(id)) return;
    found.add(id);
    for (const dependency of Object.keys(dependencies)) visit(dependency, dirname(manifest));
  };
  for (const name of names) visit(name, root);
  return [...found].sort();
}

/** Found as Node finds packages: in node_modules here or in any folder above. */
function manifestOf(name: string, from: string): string | undefined {
  for (let folder = resolve(from); ; folder = dirname(folder)) {
    const manifest = join(folder, 'node_modules', name, 'package.json');
    if (existsSync(manifest)) return manifest;
    if (dirname(folder) === folder) return undefined;
  }
}
