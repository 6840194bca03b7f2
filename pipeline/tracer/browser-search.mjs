/**
 * Which browser to trace in. Plain JavaScript because set-up runs it before any package may be there.
 * Documented in browser-search.d.mts.
 */
import { accessSync, constants, existsSync, statSync } from 'node:fs';
import { homedir } from 'node:os';
import { delimiter, join, posix } from 'node:path';
import { RELEASED } from '../store/installation.mjs';
import { embeddedBrowser } from './embedded-browser.mjs';

export const BROWSER_VARIABLE = 'BANDWRIGHT_BROWSER';

const NAMES = [
  'google-chrome',
  'google-chrome-stable',
  'chrome',
  'chromium',
  'chromium-browser',
  'chromium-headless-shell',
  'chrome-headless-shell',
  'microsoft-edge',
  'microsoft-edge-stable',
  'msedge',
];

export async function* findBrowsers(options = {}) {
  const { env = process.env, platform = process.platform, home = homedir(), cacheDir, log } = options;
  const named = env[BROWSER_VARIABLE];
  if (named) {
    // The user's word is final: if it does not work, saying so beats starting another browser in silence.
    yield {
      how: BROWSER_VARIABLE,
      path: named,
      env: {},
      ...(executable(named) ? {} : { fault: 'not an executable file' }),
    };
    return;
  }
  for (const path of await installedByPuppeteer(env, home)) yield { how: "puppeteer's cache", path, env: {} };
  for (const path of installedOnSystem(env, platform, home)) yield { how: 'system', path, env: {} };
  if (!cacheDir) return;
  try {
    const embedded = await embeddedBrowser(cacheDir, log);
    if (embedded) yield { how: 'embedded', ...embedded };
  } catch (error) {
    yield { how: 'embedded', path: '@sparticuz/chromium', env: {}, fault: error.message };
  }
}

export function executable(path) {
  try {
    accessSync(path, constants.X_OK);
    return statSync(path).isFile();
  } catch {
    return false;
  }
}

/** Headless shells before full browsers (they start faster), newest first. */
async function installedByPuppeteer(env, home) {
  const cacheDir = env.PUPPETEER_CACHE_DIR || join(home, '.cache', 'puppeteer');
  if (!existsSync(cacheDir)) return [];
  // puppeteer's own library knows the layout
  const { getInstalledBrowsers } = await import('@puppeteer/browsers');
  const rank = ['chrome-headless-shell', 'chrome', 'chromium'];
  const newestFirst = (a, b) => b.buildId.localeCompare(a.buildId, 'en', { numeric: true });
  return (await getInstalledBrowsers({ cacheDir }))
    .filter((b) => rank.includes(b.browser) && executable(b.executablePath))
    .sort((a, b) => rank.indexOf(a.browser) - rank.indexOf(b.browser) || newestFirst(a, b))
    .map((b) => b.executablePath);
}

function installedOnSystem(env, platform, home) {
  const places = [];
  const folders = (env.PATH ?? env.Path ?? '').split(delimiter).filter(Boolean);
  const suffix = platform === 'win32' ? '.exe' : '';
  for (const name of NAMES) for (const folder of folders) places.push(join(folder, name + suffix));
  if (platform === 'darwin') {
    for (const root of ['/Applications', posix.join(home, 'Applications')]) {
      for (const app of ['Google Chrome', 'Chromium', 'Microsoft Edge']) {
        places.push(posix.join(root, `${app}.app/Contents/MacOS/${app}`));
      }
    }
  }
  if (platform === 'win32') {
    const roots = [env.ProgramFiles, env['ProgramFiles(x86)'], env.LOCALAPPDATA].filter(Boolean);
    for (const app of ['Google/Chrome/Application/chrome.exe', 'Microsoft/Edge/Application/msedge.exe']) {
      for (const root of roots) places.push(join(root, app));
    }
  }
  if (platform === 'linux') places.push('/snap/bin/chromium', '/opt/google/chrome/chrome');
  return [...new Set(places)].filter(executable);
}

export function browserAdvice(platform = process.platform) {
  const fetch = `run \`${RELEASED ? 'bandwright' : 'npm run bandwright --'} browser\`, which fetches one`;
  const variable = `set ${BROWSER_VARIABLE} to the path of a Chrome or Chromium`;
  if (platform === 'darwin' || platform === 'win32')
    return `Install Google Chrome, or ${fetch}, or ${variable}`;
  return `Install one (Debian, Ubuntu: \`apt-get install chromium\`; Fedora: \`dnf install chromium\`), or ${fetch}, or ${variable}`;
}
