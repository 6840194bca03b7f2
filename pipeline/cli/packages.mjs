/**
 * The npm packages: are they those of package-lock.json, and if not, `npm ci`. Plain JavaScript that imports
 * nothing but Node, since it runs before there are packages.
 */
import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdirSync, readFileSync, renameSync, statSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';

/**
 * `current`, `missing` (no finished install) or `stale` (installed for another lock file). A root without a lock
 * file is somebody else's dependency, whose packages are theirs to install.
 *
 * @param {string} root
 * @returns {'current' | 'missing' | 'stale'}
 */
export function packagesState(root) {
  const lock = read(join(root, 'package-lock.json'));
  if (lock === undefined) return 'current';
  const installed = read(join(root, 'node_modules/.package-lock.json'));
  // npm writes this file last, so that without it an install never ended.
  if (installed === undefined) return 'missing';
  if (read(stampFile(root)) === stamp(root, lock)) return 'current';
  if (!sameVersions(JSON.parse(lock).packages, JSON.parse(installed).packages)) return 'stale';
  writeStamp(root);
  return 'current';
}

/**
 * Runs `npm ci`; no package's own script runs, and no browser is fetched. Rejects with the end of what npm said,
 * and with advice.
 *
 * @param {string} root
 * @returns {Promise<void>}
 */
export async function installPackages(root) {
  const args = ['ci', '--ignore-scripts', '--no-audit', '--no-fund', '--include=dev', '--include=optional'];
  const env = { ...process.env, PUPPETEER_SKIP_DOWNLOAD: '1' };
  const npm = process.env.npm_execpath ?? '';
  const { code, said } = /npm-cli\.c?js$/.test(npm)
    ? await run(process.execPath, [npm, ...args], { cwd: root, env })
    : await run('npm', args, { cwd: root, env, shell: process.platform === 'win32' });
  if (code !== 0)
    throw new Error(`npm ci failed:\n${said.trim().split('\n').slice(-12).join('\n')}\n${advice(said)}`);
  writeStamp(root);
}

/** Optional packages may be missing: npm leaves out those made for other systems. */
function sameVersions(wanted, installed) {
  return Object.entries(wanted).every(([path, { version, integrity, optional, devOptional, link }]) => {
    if (path === '' || link) return true;
    const there = installed[path];
    if (!there) return Boolean(optional || devOptional);
    return there.version === version && there.integrity === integrity;
  });
}

const stampFile = (root) => join(root, 'node_modules/.cache/bandwright/packages.sha256');

/** Names the lock file's contents and the install it was compared with. */
function stamp(root, lock) {
  const { mtimeMs, size } = statSync(join(root, 'node_modules/.package-lock.json'));
  return createHash('sha256').update(`${lock}\0${mtimeMs}\0${size}`).digest('hex');
}

function writeStamp(root) {
  const file = stampFile(root);
  mkdirSync(dirname(file), { recursive: true });
  const part = `${file}.${process.pid}`;
  writeFileSync(part, stamp(root, readFileSync(join(root, 'package-lock.json'), 'utf8')));
  renameSync(part, file);
}

function advice(said) {
  if (/ENOTFOUND|EAI_AGAIN|ECONNREFUSED|ECONNRESET|ETIMEDOUT|network/i.test(said)) {
    return 'The npm registry could not be reached: check the network, or a proxy or mirror in `npm config get registry`.';
  }
  if (/ENOSPC/.test(said)) return 'The disk is full: about 700 MB are needed.';
  if (/EACCES|EPERM|EROFS/.test(said)) return 'node_modules cannot be written: check who owns this folder.';
  return 'Run `npm ci` by hand to see all of it.';
}

function run(command, args, options) {
  return new Promise((resolve, reject) => {
    const child = spawn(command, args, { ...options, stdio: ['ignore', 'pipe', 'pipe'] });
    let said = '';
    child.stdout.on('data', (chunk) => (said += chunk));
    child.stderr.on('data', (chunk) => (said += chunk));
    child.once('error', (error) => reject(new Error(`npm could not be started: ${error.message}`)));
    child.once('close', (code) => resolve({ code, said }));
  });
}

function read(file) {
  try {
    return readFileSync(file, 'utf8');
  } catch {
    return undefined;
  }
}
