/** Only what is read here. */
interface Manifest {
  name: string;
  version: string;
  description: string;
  license: string;
  engines: Record<string, string>;
  dependencies: Record<string, string>;
  optionalDependencies: Record<string, string>;
}

interface Lock {
  packages: Record<string, { version: string }>;
}

/** Compilers and loaders: a released package has been built. */
const FOR_CLONES = ['assemblyscript', 'esbuild'];
const BROWSER = '@sparticuz/chromium';

/**
 * package.json of a released package: exact versions, no compilers. Of puppeteer only the core comes, under
 * puppeteer's name, since its install script fetches browsers and fails where it can't; a browser is the user's, or
 * fetched on their word.
 */
export function releasedManifest(manifest: Manifest, lock: Lock): Record<string, unknown> {
  const exact = (name: string) => lock.packages[`node_modules/${name}`].version;
  const names = Object.keys(manifest.dependencies).filter((name) => !FOR_CLONES.includes(name));
  const dependencies = Object.fromEntries(names.map((name) => [name, exact(name)]));
  return {
    name: manifest.name,
    version: manifest.version,
    description: manifest.description,
    license: manifest.license,
    type: 'module',
    engines: manifest.engines,
    bin: { bandwright: 'pipeline/cli/command.js' },
    exports: {
      '.': { types: './pipeline/index.d.ts', default: './pipeline/index.js' },
      './package.json': './package.json',
    },
    dependencies: {
      ...dependencies,
      puppeteer: `npm:puppeteer-core@${exact('puppeteer-core')}`,
    },
    embeddedBrowser: exact(BROWSER),
  };
}
