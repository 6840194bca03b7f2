/**
 * Where this copy of the program keeps what is built and what may be written. A clone builds for itself, under its
 * node_modules; a released package carries `built/`, is never written to, and keeps what it must (an unpacked browser)
 * in the user's own cache folder. Plain JavaScript because set-up runs it before any package may be there.
 * Documented in installation.d.mts.
 */
import { existsSync } from 'node:fs';
import { homedir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const ROOT = join(dirname(fileURLToPath(import.meta.url)), '../..');

const BUILT = join(ROOT, 'built');

export const RELEASED = existsSync(join(BUILT, 'identities.json'));

export const CACHE_DIR = RELEASED ? userCache() : join(ROOT, 'node_modules/.cache/bandwright');

export const BUILT_DIR = RELEASED ? BUILT : CACHE_DIR;

export function userCache(platform = process.platform, env = process.env, home = homedir()) {
  if (platform === 'win32')
    return join(env.LOCALAPPDATA || join(home, 'AppData', 'Local'), 'bandwright', 'Cache');
  if (platform === 'darwin') return join(home, 'Library', 'Caches', 'bandwright');
  // a relative path there is to be ignored
  const given = env.XDG_CACHE_HOME;
  return join(given?.startsWith('/') ? given : join(home, '.cache'), 'bandwright');
}
