/**
 * The licences of every package in the lock file: `npm run licences` prints them, name by name; the test beside it
 * fails when one comes in that nobody has looked at. Identifiers are SPDX's (spdx.org/licenses).
 */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

export interface PackageLicence {
  name: string;
  version: string;
  /** SPDX expression as the package states it, or `unstated` */
  licence: string;
  /** needed only to develop Bandwright */
  dev: boolean;
  /** has a script that npm would run at install; none is run, see `.npmrc` */
  installScript: boolean;
}

/** Licences that were read and may come in by any package. */
const PERMISSIVE = [
  'MIT',
  'MIT-0',
  'ISC',
  'BSD-2-Clause',
  'BSD-3-Clause',
  '0BSD',
  'Apache-2.0',
  'BlueOak-1.0.0',
  'Python-2.0',
  'Unlicense',
  'CC0-1.0',
  'Zlib',
  'OFL-1.1',
];

/** Others, each with what makes it fit here. */
const LOOKED_AT: Readonly<Record<string, { packages: RegExp; why: string }>> = {
  'LGPL-3.0-or-later': {
    packages: /^@img\/sharp-/,
    why: 'libvips, linked dynamically and unchanged: whoever ships it ships its licence and lets it be exchanged',
  },
  'LGPL-2.1-only': {
    packages: /^replicad-opencascadejs$/,
    why: 'Open CASCADE, for tests alone: nothing of it is shipped',
  },
  'MPL-2.0': {
    packages: /./,
    why: 'weak copyleft by file, used unchanged',
  },
};

interface LockFile {
  packages: Record<
    string,
    { version?: string; license?: string; dev?: boolean; devOptional?: boolean; hasInstallScript?: boolean }
  >;
}

/** All packages of a lock file (version 3), in order of their names. */
export function packageLicences(lock: LockFile): PackageLicence[] {
  return Object.entries(lock.packages)
    .filter(([path]) => path !== '')
    .map(([path, p]) => ({
      name: path.slice(path.lastIndexOf('node_modules/') + 'node_modules/'.length),
      version: p.version ?? '',
      licence: p.license ?? 'unstated',
      dev: Boolean(p.dev || p.devOptional),
      installScript: Boolean(p.hasInstallScript),
    }))
    .sort((a, b) => a.name.localeCompare(b.name));
}

/** What in an SPDX expression has not been looked at for this package: empty when all is well. */
export function unreadLicences(name: string, expression: string): string[] {
  const flat = expression.replace(/[()]/g, ' ').trim();
  const unread = (id: string) => !PERMISSIVE.includes(id) && !LOOKED_AT[id]?.packages.test(name);
  if (/ OR /.test(flat) && !/ AND /.test(flat)) {
    const choices = flat.split(/\s+OR\s+/);
    return choices.some((id) => !unread(id)) ? [] : choices;
  }
  // with both words in it every licence named must be fine, which no bracket can change
  return flat.split(/\s+(?:AND|OR)\s+/).filter(unread);
}

export function readLockFile(): LockFile {
  return JSON.parse(readFileSync(new URL('../package-lock.json', import.meta.url), 'utf8'));
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const all = packageLicences(readLockFile());
  const widths = [Math.max(...all.map((p) => p.name.length)), Math.max(...all.map((p) => p.version.length))];
  for (const p of all) {
    const marks = [p.dev ? 'development' : '', p.installScript ? 'has an install script (not run)' : ''];
    console.log(
      [p.name.padEnd(widths[0]), p.version.padEnd(widths[1]), p.licence, ...marks.filter(Boolean)].join('  '),
    );
  }
  const counts = new Map<string, number>();
  for (const p of all) counts.set(p.licence, (counts.get(p.licence) ?? 0) + 1);
  console.log(`\n${all.length} packages`);
  for (const [licence, n] of [...counts].sort((a, b) => b[1] - a[1]))
    console.log(`${String(n).padStart(5)}  ${licence}`);
  for (const [licence, { why }] of Object.entries(LOOKED_AT)) console.log(`${licence}: ${why}`);
  const unread = all.filter((p) => unreadLicences(p.name, p.licence).length > 0);
  for (const p of unread) console.error(`not looked at: ${p.name} ${p.version}, ${p.licence}`);
  if (unread.length > 0) process.exitCode = 1;
}
