import { spawnSync } from 'node:child_process';
import {
  chmodSync,
  cpSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  realpathSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';

const LOADER = './pipeline/cli/typescript.mjs';
const MARK = 'THIS WAS PUT THERE BY SOMEBODY ELSE';
const shared = realpathSync(mkdtempSync(join(tmpdir(), 'shared-')));
const node = (...args: string[]) =>
  spawnSync(process.execPath, args, { encoding: 'utf8', env: { ...process.env, TMPDIR: shared } });
const SIZE = ['pipeline/cli/main.ts', 'pipeline/cli/size.ts'].map((f) => `await import('./${f}');`).join('');

afterAll(() => rmSync(shared, { recursive: true }));

describe('compiled code', () => {
  it.each([
    ['the command', ['pipeline/cli/bandwright.mjs', 'size', 'US 7']],
    ['scripts and children', ['--import', LOADER, '--input-type=module', '-e', SIZE]],
  ])('has nothing to do with the shared temporary folder: %s', (_name, args) => {
    const { stderr, status } = node(...args);
    expect(stderr).toBe('');
    expect(status).toBe(0);
    // node --compile-cache and the like would leave their own
    expect(readdirSync(shared)).toEqual([]);
  });

  it('leaves the temporary folder of the process as it was', () => {
    const said = node('--import', LOADER, '-p', 'os.tmpdir()');
    expect(said.stdout.trim()).toBe(shared);
  });

  it('is loaded in that one way by npm’s scripts and the checks', () => {
    const { scripts } = JSON.parse(readFileSync('package.json', 'utf8'));
    for (const line of [...Object.values<string>(scripts), ...readFileSync('.ci/run', 'utf8').split('\n')])
      expect(line).not.toMatch(/(^|\s)tsx(\s|$)/);
  });
});

describe.skipIf(process.platform === 'win32')('what was compiled before', () => {
  let root: string;
  let kept: string;
  const say = (text: string) =>
    writeFileSync(join(root, 'said.ts'), `console.log(${text} satisfies string);`);
  const said = () => {
    const { stdout, stderr } = node('--import', join(root, LOADER), join(root, 'said.ts'));
    expect(stderr).toBe('');
    return stdout.trim();
  };
  const spoil = () => {
    const [name] = readdirSync(kept);
    const file = join(kept, name);
    writeFileSync(file, `console.log('${MARK}');${readFileSync(file, 'utf8')}`);
  };

  beforeAll(() => {
    root = realpathSync(mkdtempSync(join(tmpdir(), 'clone-')));
    kept = join(root, 'node_modules/.cache/bandwright/typescript');
    mkdirSync(join(root, 'node_modules'));
    writeFileSync(join(root, 'package.json'), '{ "type": "module" }');
    symlinkSync(realpathSync('node_modules/esbuild'), join(root, 'node_modules/esbuild'));
    cpSync('pipeline/cli', join(root, 'pipeline/cli'), {
      recursive: true,
      filter: (from) => !/\.\w+$/.test(from) || /(typescript(-hooks)?|optimiser)\.mjs$/.test(from),
    });
  });
  afterAll(() => rmSync(root, { recursive: true }));

  it('is run again unchecked from a folder of one’s own, one file a module', () => {
    say("'first'");
    expect(said()).toBe('first');
    spoil();
    expect(said()).toBe(`${MARK}\nfirst`);
  });

  it('is never run from a folder that others can write', () => {
    chmodSync(kept, 0o777);
    expect(said()).toBe('first');
    chmodSync(kept, 0o700);
  });

  it('is compiled anew when the module changes, in the same file', () => {
    say("'second'");
    expect(said()).toBe('second');
    expect(readdirSync(kept)).toHaveLength(1);
  });
});
