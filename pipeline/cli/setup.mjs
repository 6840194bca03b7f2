/**
 * Gets this copy of the repository ready to work: packages, kernel, the browser's page, a browser. npm runs it before
 * every command; when nothing is to do it is silent and takes a blink. Everything it makes lies under node_modules.
 * Says what it does on standard error, so that the output of commands stays clean.
 */
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { installPackages, packagesState } from './packages.mjs';
import { alone } from './setup-lock.mjs';

const ROOT = join(dirname(fileURLToPath(import.meta.url)), '../..');
const LEAST_NODE = [20, 19];

/**
 * Throws an Error whose message is for the user. A missing browser is no error here (`size` and `check` need none):
 * then `browser` is undefined and `advice` says how to get one.
 *
 * @param {{ root?: string, log?: (line: string) => void }} [options]
 * @returns {Promise<{ browser?: import('../tracer/browser-search.mjs').FoundBrowser, advice?: string }>}
 */
export async function setUp({ root = ROOT, log = (line) => console.error(line) } = {}) {
  checkNode(process.versions.node);
  if (packagesState(root) !== 'current') {
    await alone(root, log, async () => {
      const state = packagesState(root);
      if (state === 'current') return;
      const why = state === 'missing' ? 'none are there yet' : 'package-lock.json has changed';
      log(`Installing packages (npm ci; ${why})`);
      await installPackages(root);
    });
  }
  // Imported only now: these need packages.
  const { CACHE_DIR } = await import('../store/installation.mjs');
  const { buildFiles } = await import('../tracer/built-files.mjs');
  const { findBrowsers, browserAdvice } = await import('../tracer/browser-search.mjs');
  await buildFiles(undefined, log);
  const search = () => firstFit(findBrowsers({ cacheDir: CACHE_DIR, log }));
  let { browser, faults } = await search();
  // on Linux the embedded one came with the packages, and nothing but the npm registry is asked
  if (!browser && process.platform !== 'linux' && faults.length === 0) {
    const { fetchBrowser } = await import('../tracer/browser-fetch.mjs');
    // the advice says what else to do
    await fetchBrowser(CACHE_DIR, log).catch((error) => log(`No browser could be fetched: ${error.message}`));
    ({ browser, faults } = await search());
  }
  if (browser) return { browser };
  return { advice: `${['No browser to trace in.', ...faults].join(' ')} ${browserAdvice()}.` };
}

/** @param {string} version */
export function checkNode(version) {
  const [major, minor] = version.split('.').map(Number);
  if (major > LEAST_NODE[0] || (major === LEAST_NODE[0] && minor >= LEAST_NODE[1])) return;
  throw new Error(
    `Expected Node ${LEAST_NODE.join('.')} or later but this is ${version}. Install a current one from https://nodejs.org or with your version manager.`,
  );
}

async function firstFit(found) {
  const faults = [];
  for await (const browser of found) {
    if (!browser.fault) return { browser, faults };
    faults.push(`${browser.path} (${browser.how}): ${browser.fault}.`);
  }
  return { browser: undefined, faults };
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  try {
    const { advice } = await setUp();
    // Commands that need a browser say so themselves.
    if (advice && process.env.npm_lifecycle_event !== 'bandwright') console.error(advice);
  } catch (error) {
    console.error(error.message);
    process.exitCode = 1;
  }
}
