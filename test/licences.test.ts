import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { packageLicences, readLockFile, unreadLicences } from './licences.ts';

const all = packageLicences(readLockFile());

describe('packages', () => {
  it('every licence in the lock file has been looked at', () => {
    expect(all.length).toBeGreaterThan(100);
    expect(all.filter((p) => unreadLicences(p.name, p.licence).length > 0)).toEqual([]);
  });

  it('expressions: one of a choice is enough, of a sum all count', () => {
    expect(unreadLicences('x', '(MIT OR GPL-3.0-only)')).toEqual([]);
    expect(unreadLicences('x', 'MIT AND GPL-3.0-only')).toEqual(['GPL-3.0-only']);
    expect(unreadLicences('x', 'LGPL-3.0-or-later')).toEqual(['LGPL-3.0-or-later']);
    expect(unreadLicences('x', 'unstated')).toEqual(['unstated']);
  });

  it('no install script runs: the registry client is told so, and the packages that have one are known', () => {
    expect(readFileSync(new URL('../.npmrc', import.meta.url), 'utf8')).toMatch(/^ignore-scripts=true$/m);
    // esbuild's only checks its own binary; msgpackr's builds what comes built; puppeteer's would fetch a browser
    expect(all.filter((p) => p.installScript).map((p) => p.name)).toEqual([
      'esbuild',
      'msgpackr-extract',
      'puppeteer',
    ]);
  });

  it('every package comes from the registry with a hash to check it by', () => {
    const lock = readLockFile() as {
      packages: Record<string, { integrity?: string; resolved?: string; link?: boolean; inBundle?: boolean }>;
    };
    for (const [path, p] of Object.entries(lock.packages)) {
      if (path === '' || p.inBundle) continue;
      expect(p.link, path).toBeUndefined();
      expect(p.integrity, path).toMatch(/^sha512-/);
      if (p.resolved) expect(p.resolved, path).toMatch(/^https:\/\/registry\.npmjs\.org\//);
    }
  });
});
