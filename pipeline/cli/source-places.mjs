/**
 * Places in reports of faults are those of the TypeScript. Node can tell them, but reads the map of every module that it
 * loads, which took a tenth of the command's start; here maps are read when a stack is asked for.
 */
import { readFileSync } from 'node:fs';
import { SourceMap } from 'node:module';
import { fileURLToPath } from 'node:url';

/** a module of a bundle, line and column, both from 1 */
const PLACE = /(file:\/\/[^\s()]+\.mjs):(\d+):(\d+)/;

export function tellSourcePlaces() {
  const maps = new Map();
  const mapOf = (url) => {
    if (!maps.has(url)) maps.set(url, readMap(url));
    return maps.get(url);
  };
  const written = (place, url, line, column) => {
    const from = mapOf(url)?.findEntry(line - 1, column - 1);
    if (from?.originalSource === undefined) return place;
    return `${new URL(from.originalSource, url)}:${from.originalLine + 1}:${from.originalColumn + 1}`;
  };
  Error.prepareStackTrace = (error, frames) =>
    [worded(error), ...frames.map((frame) => `    at ${String(frame).replace(PLACE, written)}`)].join('\n');
}

function readMap(url) {
  try {
    return new SourceMap(JSON.parse(readFileSync(`${fileURLToPath(url)}.map`, 'utf8')));
  } catch {
    // none, or one that can't be read: the place in the bundle is told
    return undefined;
  }
}

function worded(error) {
  try {
    return String(error);
  } catch {
    return 'Error';
  }
}
