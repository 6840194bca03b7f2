import { spawn, spawnSync } from 'node:child_process';
import {
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join, resolve } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { packagesState } from '../../pipeline/cli/packages.mjs';
import { checkNode } from '../../pipeline/cli/setup.mjs';
import { alone } from '../../pipeline/cli/setup-lock.mjs';
import { buildFiles } from '../../pipeline/tracer/built-files.mjs';

let root: string;
beforeEach(() => {
  root = mkdtempSync(join(tmpdir(), 'bandwright-setup-test-'));
});
afterEach(() => rmSync(root, { recursive: true, force: true }));

test('Node older than 20.19 is refused by name; later ones pass', () => {
  for (const version of ['20.19.0', '20.20.2', '21.0.0', '24.1.0'])
    expect(() => checkNode(version)).not.toThrow();
  for (const version of ['20.18.9', '18.20.0'])
    expect(() => checkNode(version)).toThrow(`but this is ${version}`);
});

test('when nothing is to do, set-up is silent and quick', () => {
  const setup = () => spawnSync(process.execPath, ['pipeline/cli/setup.mjs'], { encoding: 'utf8' });
  setup();
  const time = (work: () => void) => {
    const start = performance.now();
    work();
    return performance.now() - start;
  };
  // Measured against the bare start of Node, since the machine may be busy: 2.3 times on an idle one (0.11 s);
  // loading a compiler or puppeteer would make it 6 and more. The least of both is what they take undisturbed.
  let bare = Number.POSITIVE_INFINITY;
  let least = Number.POSITIVE_INFINITY;
  for (let round = 0; round < 20 && !(least / bare < 4.5); round++) {
    bare = Math.min(
      bare,
      time(() => spawnSync(process.execPath, ['-e', '0'])),
    );
    least = Math.min(
      least,
      time(() => {
        const { status, stdout, stderr } = setup();
        expect({ status, stdout, stderr }).toEqual({ status: 0, stdout: '', stderr: '' });
      }),
    );
  }
  expect(least / bare).toBeLessThan(4.5);
});

describe('packages', () => {
  const packages = {
    '': { name: 'x' },
    'node_modules/a': { version: '1.0.0', integrity: 'sha512-a' },
    'node_modules/b': { version: '2.0.0', integrity: 'sha512-b', optional: true },
  };
  const lock = (p: object) => writeFileSync(join(root, 'package-lock.json'), JSON.stringify({ packages: p }));
  const installed = (p: object) => {
    mkdirSync(join(root, 'node_modules'), { recursive: true });
    writeFileSync(join(root, 'node_modules/.package-lock.json'), JSON.stringify({ packages: p }));
  };

  test('missing, current, stale', () => {
    expect(packagesState(root)).toBe('current');
    lock(packages);
    expect(packagesState(root)).toBe('missing');
    mkdirSync(join(root, 'node_modules'));
    expect(packagesState(root)).toBe('missing');
    const { '': _, ...there } = packages;
    installed(there);
    expect(packagesState(root)).toBe('current');
    expect(packagesState(root)).toBe('current');
    lock({ ...packages, 'node_modules/a': { version: '1.0.1', integrity: 'sha512-c' } });
    expect(packagesState(root)).toBe('stale');
  });

  test('only optional packages may be missing; an install undone behind our back is noticed', () => {
    lock(packages);
    installed({ 'node_modules/a': packages['node_modules/a'] });
    expect(packagesState(root)).toBe('current');
    installed({ 'node_modules/b': packages['node_modules/b'] });
    expect(packagesState(root)).toBe('stale');
  });

  test('a fresh copy gets its packages by npm ci, once, also when two start at the same time', async () => {
    cpSync('pipeline/cli', join(root, 'pipeline/cli'), { recursive: true });
    writeFileSync(join(root, 'package.json'), '{"name":"x","version":"1.0.0","type":"module"}');
    writeFileSync(
      join(root, 'package-lock.json'),
      '{"name":"x","version":"1.0.0","lockfileVersion":3,"requires":true,"packages":{"":{"name":"x","version":"1.0.0"}}}',
    );
    // An npm of our own that writes down its runs: what is tested is when and how it is called.
    const npm = join(root, 'npm-cli.js');
    writeFileSync(
      npm,
      `import fs from 'node:fs';
      fs.appendFileSync('runs', [...process.argv.slice(2), process.env.PUPPETEER_SKIP_DOWNLOAD].join(' ') + '\\n');
      await new Promise((r) => setTimeout(r, 500));
      fs.mkdirSync('node_modules', { recursive: true });
      fs.writeFileSync('node_modules/.package-lock.json', '{"packages":{}}');`,
    );
    const code = `import { setUp } from './pipeline/cli/setup.mjs'; await setUp().catch((e) => { if (e.code !== 'ERR_MODULE_NOT_FOUND') throw e; });`;
    const run = () =>
      new Promise<string>((done) => {
        const child = spawn(process.execPath, ['--input-type=module', '-e', code], {
          cwd: root,
          env: { ...process.env, npm_execpath: npm },
        });
        let said = '';
        child.stderr.on('data', (data) => (said += data));
        child.once('close', (status) => done(`${status} ${said}`));
      });
    const said = await Promise.all([run(), run()]);
    expect(said.map((s) => s[0])).toEqual(['0', '0']);
    expect(said.join().match(/Installing packages/g)?.length).toBe(1);
    expect(readFileSync(join(root, 'runs'), 'utf8')).toBe(
      'ci --ignore-scripts --no-audit --no-fund --include=dev --include=optional 1\n',
    );
    await run();
    expect(readFileSync(join(root, 'runs'), 'utf8').match(/ci/g)?.length).toBe(1);
  });

  test('no network: says so, and ends with 1', () => {
    cpSync('pipeline/cli', join(root, 'pipeline/cli'), { recursive: true });
    writeFileSync(join(root, 'package.json'), '{"name":"x","version":"1.0.0","type":"module"}');
    lock(packages);
    const npm = join(root, 'npm-cli.js');
    writeFileSync(npm, `console.error('npm error code EAI_AGAIN'); process.exit(1);`);
    const { status, stdout, stderr } = spawnSync(process.execPath, ['pipeline/cli/setup.mjs'], {
      cwd: root,
      env: { ...process.env, npm_execpath: npm },
      encoding: 'utf8',
    });
    expect(status).toBe(1);
    expect(stdout).toBe('');
    expect(stderr).toContain('The npm registry could not be reached');
    expect(stderr).not.toContain('    at ');
  });
});

describe('one at a time', () => {
  test('work of several never overlaps, and a lock of the dead holds nobody up', async () => {
    let inside = 0;
    let most = 0;
    const work = async () => {
      most = Math.max(most, ++inside);
      await new Promise((r) => setTimeout(r, 30));
      inside--;
    };
    // The first lock is put there by a process that is killed while it holds it.
    const code = `import { alone } from ${JSON.stringify(resolve('pipeline/cli/setup-lock.mjs'))};
      await alone(${JSON.stringify(root)}, () => {}, async () => process.kill(process.pid, 'SIGKILL'));`;
    spawnSync(process.execPath, ['--input-type=module', '-e', code]);
    const start = performance.now();
    await Promise.all([1, 2, 3].map(() => alone(root, () => {}, work)));
    expect(most).toBe(1);
    expect(performance.now() - start).toBeLessThan(5000);
    // in the copy itself: nobody who may write to a shared folder can hold it up
    await alone(
      root,
      () => {},
      async () => expect(existsSync(join(root, '.setup.lock'))).toBe(true),
    );
  });

  test('the lock goes also when the work fails', async () => {
    await expect(
      alone(
        root,
        () => {},
        async () => Promise.reject(new Error('no')),
      ),
    ).rejects.toThrow('no');
    expect(
      await alone(
        root,
        () => {},
        async () => 7,
      ),
    ).toBe(7);
  });
});

test('filter and page are built where told, once, and again when a file is missing', async () => {
  // as the filter is, but in six times its time: set-up has done so before tests run
  const { kernel } = await buildFiles();
  for (const file of [kernel, kernel.replace(/wasm$/, 'inputs')]) cpSync(file, join(root, basename(file)));
  const said: string[] = [];
  const log = (line: string) => said.push(line);
  const files = await buildFiles(root, log);
  expect(said).toHaveLength(1);
  expect(WebAssembly.validate(readFileSync(files.kernel))).toBe(true);
  expect(WebAssembly.validate(readFileSync(files.filter))).toBe(true);
  await buildFiles(root, log);
  expect(said).toHaveLength(1);
  rmSync(files.worker);
  await Promise.all([buildFiles(root, log), buildFiles(root, log)]);
  expect(existsSync(files.worker)).toBe(true);
  // What the page is bundled from decides whether it is built again, whichever room it lies in.
  const { inputs } = JSON.parse(readFileSync(join(root, 'page.inputs'), 'utf8'));
  expect(inputs).toEqual(
    expect.arrayContaining(['pipeline/tracer/kernel/layout.ts', 'pipeline/scene/trace-scene.ts']),
  );
  const { inputs: sources } = JSON.parse(readFileSync(join(root, 'kernel.inputs'), 'utf8'));
  expect(sources).toContain('pipeline/tracer/kernel/path.ts');
  expect(sources).not.toContain('pipeline/tracer/kernel-host.ts');
  // Nothing half-written is left.
  expect(readdirSync(root).join('\n')).not.toMatch(/\.\d+$/m);
});
