/** `bandwright browser`: which browser pictures are traced in; fetches one where there is none. */
import { CACHE_DIR } from '../store/installation.mjs';
import { fetchBrowser } from '../tracer/browser-fetch.mjs';
import { browserAdvice, type FoundBrowser, findBrowsers } from '../tracer/browser-search.mjs';
import { EXIT } from './exit.ts';
import type { Streams } from './progress.ts';
import { parseFlags } from './usage.ts';

const OPTIONS = { json: { type: 'boolean', default: false } } as const;

/** 0 when there is one, 2 when there is none and none could be had. */
export async function browser(args: readonly string[], { out, err }: Streams): Promise<number> {
  const { json } = parseFlags(args, OPTIONS);
  const log = (line: string) => err.write(`${line}\n`);
  let found = await firstFit(log);
  if (!found) {
    try {
      await fetchBrowser(CACHE_DIR, log);
    } catch (error) {
      log(`No browser came: ${error instanceof Error ? error.message : String(error)}`);
    }
    found = await firstFit(log);
  }
  if (json) out.write(`${JSON.stringify(found ? { how: found.how, path: found.path } : {})}\n`);
  else if (found) out.write(`${found.path} (${found.how})\n`);
  if (!found) log(`No browser to trace in. ${browserAdvice()}.`);
  return found ? EXIT.ok : EXIT.usage;
}

async function firstFit(log: (line: string) => void): Promise<FoundBrowser | undefined> {
  for await (const found of findBrowsers({ cacheDir: CACHE_DIR, log })) {
    if (!found.fault) return found;
    log(`${found.path} (${found.how}): ${found.fault}`);
  }
  return undefined;
}
