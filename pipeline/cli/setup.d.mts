import type { FoundBrowser } from '../tracer/browser-search.mjs';

/** See setup.mjs. */
export function setUp(options?: {
  root?: string;
  log?: (line: string) => void;
}): Promise<{ browser?: FoundBrowser; advice?: string }>;
export function checkNode(version: string): void;
