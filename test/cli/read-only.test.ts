import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { config } from '../plan/workspace.ts';

const ROOT = resolve(import.meta.dirname, '../..');
/** A mount that only this command sees; needs root and a Linux that allows it. */
const onReadOnly = (place: string, command: string, ...args: string[]) =>
  spawnSync('unshare', ['-m', 'sh', '-c', `mount -t tmpfs -o ro tmpfs "$0" && ${command}`, place, ...args], {
    encoding: 'utf8',
  });

interface Ended {
  code: number;
  err: string;
}

/** The command several times in one process, which takes a second to start. @returns how each ended, as JSON */
const SEVERAL = `
  const { program } = await import(${JSON.stringify(pathToFileURL(join(ROOT, 'pipeline/cli/program.mjs')).href)});
  const { main } = await import(await program());
  const ends = [];
  for (const args of JSON.parse(process.argv[1])) {
    let err = '';
    const heard = { out: { write() {} }, err: { write: (text) => (err += text) } };
    ends.push({ code: await main(args, heard), err });
  }
  console.log(JSON.stringify(ends));`;

const MOUNTS = onReadOnly('/mnt', 'true').status === 0;
const COMMANDS = [
  ['make', 'CONFIG'],
  ['verify', 'CONFIG'],
  ['gc', '--keep', '1 GB'],
];

describe.skipIf(!MOUNTS)('an output folder on a file system mounted read-only', () => {
  let folder: string;
  let out: string;
  let ends: Ended[];
  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'bandwright-read-only-'));
    const file = join(folder, 'config.yaml');
    writeFileSync(file, config());
    out = join(folder, 'out');
    mkdirSync(out);
    const all = COMMANDS.map((args) => [...args.map((a) => (a === 'CONFIG' ? file : a)), '--out', out]);
    const node = [process.execPath, '--input-type=module', '-e', SEVERAL, JSON.stringify(all)];
    const { stdout, stderr } = onReadOnly(out, '"$@"', ...node);
    expect(stderr).toBe('');
    ends = JSON.parse(stdout);
  });
  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  it.each(COMMANDS.map(([name], i) => [name, i] as const))(
    '%s refuses it with its place and advice',
    (_, i) => {
      const { code, err } = ends[i];
      expect(err).toContain(
        `${out}: expected a place that can be written but received a read-only file system (EROFS). `,
      );
      expect(err).not.toMatch(/\n\s+at /);
      expect(code).toBe(2);
      expect(readdirSync(out)).toEqual([]);
    },
  );
});
