import { spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';

const LOADER = './pipeline/cli/typescript.mjs';
const MARK = 'THIS WAS PUT THERE BY SOMEBODY ELSE';
const shared = mkdtempSync(join(tmpdir(), 'shared-'));
const node = (...args: string[]) =>
  spawnSync(process.execPath, args, { encoding: 'utf8', env: { ...process.env, TMPDIR: shared } });
const SIZE = ['pipeline/cli/main.ts', 'pipeline/cli/size.ts'].map((f) => `await import('./${f}');`).join('');
const bare = () => node('--import', 'tsx', '--input-type=module', '-e', SIZE);

/** What tsx left in the temporary folder, changed to code that says so. */
function poison(): void {
  const [folder] = readdirSync(shared).filter((n) => n.startsWith('tsx-'));
  for (const name of readdirSync(join(shared, folder))) {
    const file = join(shared, folder, name);
    if (!statSync(file).isFile()) continue;
    const kept = JSON.parse(readFileSync(file, 'utf8'));
    writeFileSync(file, JSON.stringify({ ...kept, code: `console.log('${MARK}');${kept.code}` }));
  }
}

describe('compiled code', () => {
  beforeAll(() => {
    bare();
    poison();
  });
  afterAll(() => rmSync(shared, { recursive: true }));

  it('comes from the shared temporary folder where tsx is loaded by itself, so that the trial can fail', () => {
    expect(bare().stdout).toContain(MARK);
  });

  it.each([
    ['the command', ['pipeline/cli/bandwright.mjs', 'size', 'US 7']],
    ['scripts and children', ['--import', LOADER, '--input-type=module', '-e', SIZE]],
  ])('is never read from there: %s', (_name, args) => {
    const { stdout, stderr, status } = node(...args);
    expect(stderr).toBe('');
    expect(status).toBe(0);
    expect(stdout).not.toContain(MARK);
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
