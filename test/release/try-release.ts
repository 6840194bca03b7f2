/**
 * Makes the released package, installs it as a user would, in a folder with a space and letters beyond ASCII, and uses
 * command and library there: `node --import ./pipeline/cli/typescript.mjs test/release/try-release.ts`.
 * Where it is run by root, what is installed is used by another user who may not write to it, and all with a mask of 077.
 * Ends with 1 and says why if anything isn't as promised.
 */
import { execFileSync } from 'node:child_process';
import {
  chmodSync,
  chownSync,
  copyFileSync,
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, dirname, join } from 'node:path';
import { makeRelease } from '../../pipeline/cli/release/release.ts';
import { ROOT } from '../../pipeline/store/installation.mjs';

const MOST_PACKED = 10e6;
const root = mkdtempSync(join(tmpdir(), 'bandwright-release-'));
const folder = join(root, 'Ringe für Anna 指輪');
const installed = join(folder, 'node_modules/bandwright');
const npm = process.platform === 'win32' ? 'npm.cmd' : 'npm';
const shell = process.platform === 'win32';

/** Root makes the package; another user installs and uses it. Unix gives the highest id of 16 bits less one to nobody. */
const user = process.getuid?.() === 0 ? 65534 : undefined;
const home = { HOME: join(root, 'home'), USERPROFILE: join(root, 'home') };

function run(program: string, args: string[], env: Record<string, string | undefined> = home): string {
  return execFileSync(program, args, {
    cwd: folder,
    env: { ...process.env, ...env },
    shell,
    uid: user,
    gid: user,
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'inherit'],
  });
}

function give(path: string, uid: number): void {
  chownSync(path, uid, uid);
  for (const inner of readdirSync(path, { recursive: true, encoding: 'utf8' }))
    chownSync(join(path, inner), uid, uid);
}

/** Takes the right to write from a folder and all in it, or gives it back to the owner. */
function writable(path: string, yes: boolean): void {
  for (const full of [
    path,
    ...readdirSync(path, { recursive: true, encoding: 'utf8' }).map((f) => join(path, f)),
  ])
    chmodSync(full, yes ? statSync(full).mode | 0o200 : statSync(full).mode & 0o555);
}

/** What a release brings built has no use for the code that builds it. */
const BUILT_FROM = '/kernel-build.mjs';

/** Imports of files that aren't there: a command that is loaded late would miss them late. */
function lostImports(path: string): string[] {
  const files = readdirSync(path, { recursive: true, encoding: 'utf8' }).filter((f) => /\.m?js$/.test(f));
  return files.flatMap((file) => {
    const text = readFileSync(join(path, file), 'utf8');
    const named = [...text.matchAll(/(?:from|import\(|import)\s*['"](\.{1,2}\/[^'"$]+)['"]/g)].map(
      ([, to]) => to,
    );
    const there = (to: string) => existsSync(join(path, dirname(file), to)) || to.endsWith(BUILT_FROM);
    return named.filter((to) => !there(to)).map((to) => `${file} → ${to}`);
  });
}

/** Newest change of anything in a folder, ms. */
const changed = (path: string) =>
  Math.max(
    ...readdirSync(path, { recursive: true, encoding: 'utf8' }).map((f) => statSync(join(path, f)).ctimeMs),
  );

function hold(what: string, fine: boolean, received: unknown): void {
  if (!fine) throw new Error(`${what}: received ${JSON.stringify(received)}`);
  console.log(`ok  ${what}`);
}

try {
  const made = await makeRelease((line) => console.log(line));
  hold('the packed file is small', statSync(made).size < MOST_PACKED, statSync(made).size);
  const file = join(root, basename(made));
  copyFileSync(made, file);
  process.umask(0o077);
  for (const path of [folder, home.HOME]) mkdirSync(path);
  writeFileSync(join(folder, 'package.json'), '{ "private": true, "type": "module" }\n');
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
  if (user !== undefined) give(root, user);
  run(npm, ['install', '--no-audit', '--no-fund', '--ignore-scripts', file]);
  writable(installed, false);
  const before = changed(installed);
  const bandwright = (args: string[], env?: Record<string, string | undefined>) =>
    run(process.execPath, [join(installed, 'pipeline/cli/command.js'), ...args], env);
  const lost = lostImports(join(installed, 'pipeline'));
  hold('every file that is imported is there', lost.length === 0, lost);
  const { version } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8'));
  hold('it says its version', bandwright(['--version']) === `${version}\n`, bandwright(['--version']));
  const short = run(npm, ['exec', '--offline', '--', 'bandwright', '--version']);
  hold('npx finds it', short === `${version}\n`, short);
  // ISO 8653: a size is the inner circumference in millimetres; diameter 54 / π
  const sized = bandwright(['size', 'ISO 54'], { HOME: undefined });
  hold('it knows a size without a home', sized.includes('17.19 mm'), sized);

  const checked = run(process.execPath, ['try.js']);
  hold('the library builds and checks a band', checked === '[[true,0]]\n', checked);
  const planned = JSON.parse(bandwright(['plan', 'demo.yaml', '--json']));
  hold('the command plans the demo', planned.shapes.total > 0, planned);
  bandwright(['browser']);
  const { rows } = JSON.parse(bandwright(['doctor', '--json']));
  hold(
    'the doctor finds all parts',
    rows.every(({ fine }: { fine: boolean }) => fine),
    rows,
  );
  bandwright(['new', 'rings']);
  bandwright(['make', 'rings/rings.yaml', '--draft']);
  const [{ sku, shots }] = JSON.parse(
    readFileSync(join(folder, 'rings/output/rings-draft/catalogue.json'), 'utf8'),
  ).items;
  hold('a band of one’s own has its pictures', shots.length > 0, sku);
  hold('nothing is written where it is installed', changed(installed) === before, changed(installed));
} catch (error) {
  console.error(error instanceof Error ? error.message : error);
  process.exitCode = 1;
} finally {
  if (existsSync(installed)) writable(installed, true);
  rmSync(root, { recursive: true, force: true });
}
