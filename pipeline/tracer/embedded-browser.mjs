/**
 * The Chromium that comes as an npm package (`@sparticuz/chromium`, Linux x64): the one browser that needs no host
 * but the npm registry. Documented in embedded-browser.d.mts.
 */
import { spawn, spawnSync } from 'node:child_process';
import {
  chmodSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { ROOT } from '../store/installation.mjs';

const require = createRequire(import.meta.url);

const NAME = '@sparticuz/chromium';
const { optionalDependencies, embeddedBrowser: pinned } = JSON.parse(
  readFileSync(join(ROOT, 'package.json'), 'utf8'),
);

/** What to ask npm for; a released package names one release and leaves fetching it to the user. */
export const EMBEDDED = `${NAME}@${pinned ?? optionalDependencies[NAME]}`;

export const embeddedServes = () => process.platform === 'linux' && process.arch === 'x64';

/** Where it is fetched to when it didn't come along with the packages. */
export const embeddedFolder = (cacheDir) => join(cacheDir, 'embedded');

function resolveEmbedded(cacheDir) {
  for (const from of [require, createRequire(join(embeddedFolder(cacheDir), 'package.json'))]) {
    try {
      return from.resolve(NAME);
    } catch {
      // not installed there
    }
  }
  return undefined;
}

/**
 * The package unpacks into os.tmpdir() under fixed names and takes whatever it finds there for finished, so two
 * processes at once, or one that was killed, would leave a broken browser. It therefore unpacks in a process of its
 * own whose temporary folder is ours, and the folder gets its final name only when the browser in it has started.
 */
export async function embeddedBrowser(cacheDir, log = () => {}) {
  const entry = embeddedServes() ? resolveEmbedded(cacheDir) : undefined;
  if (!entry) return undefined;
  const { version } = JSON.parse(readFileSync(join(dirname(entry), '../../package.json'), 'utf8'));
  const home = join(cacheDir, `chromium-${version}`);
  if (!existsSync(join(home, 'ready.json'))) {
    log(`Unpacking the embedded Chromium (200 MB, into ${home})`);
    await unpack(entry, cacheDir, home);
  }
  const { ownLibraries } = JSON.parse(readFileSync(join(home, 'ready.json'), 'utf8'));
  return { path: join(home, 'chromium'), env: ownLibraries ? libraryPath(home) : {} };
}

async function unpack(entry, cacheDir, home) {
  mkdirSync(cacheDir, { recursive: true });
  const part = mkdtempSync(join(cacheDir, 'unpacking-'));
  try {
    const url = JSON.stringify(pathToFileURL(entry));
    const code = `import(${url}).then((m) => m.default.executablePath()).catch((e) => { console.error(e.message); process.exit(1); })`;
    // The variable makes the package unpack the shared libraries (NSS, NSPR, expat) that bare systems lack.
    const env = { ...process.env, TMPDIR: part, AWS_LAMBDA_JS_RUNTIME: 'nodejs22.x' };
    await run(process.execPath, ['-e', code], env);
    const plain = starts(part, {});
    const bundled = plain.ok ? plain : starts(part, libraryPath(part));
    if (!bundled.ok) throw new Error(`The embedded Chromium does not start here: ${bundled.why}`);
    writeFileSync(join(part, 'ready.json'), JSON.stringify({ ownLibraries: !plain.ok }));
    // Unpacked for its owner alone; a copy of the repository may serve several users.
    chmodSync(join(part, 'chromium'), 0o755);
    chmodSync(part, 0o755);
    renameSync(part, home);
  } catch (error) {
    // Losing the race to another process is success.
    if (!existsSync(join(home, 'ready.json'))) throw error;
  } finally {
    rmSync(part, { recursive: true, force: true });
  }
}

function libraryPath(home) {
  const own = join(home, 'al2023', 'lib');
  const given = process.env.LD_LIBRARY_PATH;
  return { LD_LIBRARY_PATH: given ? `${own}:${given}` : own };
}

function starts(folder, env) {
  const { status, error, stderr } = spawnSync(join(folder, 'chromium'), ['--version'], {
    env: { ...process.env, ...env },
    encoding: 'utf8',
    timeout: 20_000,
  });
  return { ok: status === 0, why: error?.message ?? stderr?.trim() ?? `exit ${status}` };
}

function run(command, args, env) {
  return new Promise((resolve, reject) => {
    const child = spawn(command, args, { env, stdio: ['ignore', 'ignore', 'pipe'] });
    let said = '';
    child.stderr.on('data', (chunk) => (said += chunk));
    child.once('error', reject);
    child.once('close', (code) => {
      if (code === 0) resolve();
      else reject(new Error(`The embedded Chromium could not be unpacked: ${said.trim() || `exit ${code}`}`));
    });
  });
}
