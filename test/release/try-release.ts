/**
 * Makes the released package, installs it as a user would, in a folder with a space and letters beyond ASCII, and uses
 * command and library there: `node --import ./pipeline/cli/typescript.mjs test/release/try-release.ts`.
 * Ends with 1 and says why if anything isn't as promised.
 */
import { execFileSync } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { makeRelease } from '../../pipeline/cli/release/release.ts';
import { ROOT } from '../../pipeline/store/installation.mjs';

const MOST_PACKED = 10e6;
const root = mkdtempSync(join(tmpdir(), 'bandwright-release-'));
const folder = join(root, 'Ringe für Anna 指輪');
const npm = process.platform === 'win32' ? 'npm.cmd' : 'npm';
const shell = process.platform === 'win32';

function run(program: string, args: string[], env: Record<string, string | undefined> = process.env): string {
  return execFileSync(program, args, {
    cwd: folder,
    env,
    shell,
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'inherit'],
  });
}

function hold(what: string, fine: boolean, received: unknown): void {
  if (!fine) throw new Error(`${what}: received ${JSON.stringify(received)}`);
  console.log(`ok  ${what}`);
}

try {
  mkdirSync(folder);
  const file = await makeRelease((line) => console.log(line));
  hold('the packed file is small', statSync(file).size < MOST_PACKED, statSync(file).size);
  writeFileSync(join(folder, 'package.json'), '{ "private": true, "type": "module" }\n');
  run(npm, ['install', '--no-audit', '--no-fund', '--ignore-scripts', file]);
  const command = join(folder, 'node_modules/bandwright/pipeline/cli/command.js');
  const bandwright = (args: string[], env?: Record<string, string | undefined>) =>
    run(process.execPath, [command, ...args], env);
  const { version } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8'));
  hold('it says its version', bandwright(['--version']) === `${version}\n`, bandwright(['--version']));
  // ISO 8653: a size is the inner circumference in millimetres; diameter 54 / π
  const sized = bandwright(['size', 'ISO 54'], { ...process.env, HOME: undefined });
  hold('it knows a size without a home', sized.includes('17.19 mm'), sized);

  for (const name of ['demo.yaml', 'demo'])
    cpSync(join(ROOT, 'configs', name), join(folder, name), { recursive: true });
  writeFileSync(
    join(folder, 'try.js'),
    `import { check, readPlan } from 'bandwright';
     const { plan } = await readPlan('demo.yaml');
     const [{ sku }] = plan.variants;
     const { variants } = await check(plan, { only: (s) => s === sku });
     console.log(JSON.stringify(variants.map((v) => [v.sku === sku, v.problems.length])));`,
  );
  const checked = run(process.execPath, ['try.js']);
  hold('the library builds and checks a band', checked === '[[true,0]]\n', checked);
  const planned = JSON.parse(bandwright(['plan', 'demo.yaml', '--json']));
  hold('the command plans the demo', planned.shapes.total > 0, planned);
} catch (error) {
  console.error(error instanceof Error ? error.message : error);
  process.exitCode = 1;
} finally {
  rmSync(root, { recursive: true, force: true });
}
