import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { config } from '../plan/workspace.ts';

const BIN = resolve(import.meta.dirname, '../../pipeline/cli/bandwright.mjs');
/** A mount that only this command sees; needs root and a Linux that allows it. */
const onReadOnly = (place: string, command: string) =>
  spawnSync('unshare', ['-m', 'sh', '-c', `mount -t tmpfs -o ro tmpfs "$0" && ${command}`, place], {
    encoding: 'utf8',
  });

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'bandwright-read-only-'));
  writeFileSync(join(folder, 'config.yaml'), config());
  mkdirSync(join(folder, 'out'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const MOUNTS = onReadOnly('/mnt', 'true').status === 0;

describe.skipIf(!MOUNTS)('an output folder on a file system mounted read-only', () => {
  it.each([
    ['make', 'CONFIG'],
    ['verify', 'CONFIG'],
    ['gc', '--keep', '1 GB'],
  ])('%s refuses it with its place and advice', (...args) => {
    const out = join(folder, 'out');
    const words = args.map((a) => `'${a.replace('CONFIG', join(folder, 'config.yaml'))}'`).join(' ');
    const command = `'${process.execPath}' '${BIN}' ${words} --out "$0"`;
    const tried = onReadOnly(out, command);
    expect(tried.stderr).toContain(
      `${out}: expected a place that can be written but received a read-only file system (EROFS). `,
    );
    expect(tried.stderr).not.toMatch(/\n\s+at /);
    expect(tried.status).toBe(2);
    expect(readdirSync(out)).toEqual([]);
  });
});
