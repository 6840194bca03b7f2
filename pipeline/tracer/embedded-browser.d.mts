/**
 * Unpacks the embedded Chromium into `cacheDir` (once, about 2 s) and says how to start it; undefined where the
 * package is not installed or not made for this machine. Any number of processes may call it at once. Throws when
 * it cannot be unpacked or does not start, with the system's words.
 */
export function embeddedBrowser(
  cacheDir: string,
  log?: (line: string) => void,
): Promise<{ path: string; env: Record<string, string> } | undefined>;

/** Name and version of its package, as npm takes them. */
export declare const EMBEDDED: string;

/** Is it made for this machine? */
export declare function embeddedServes(): boolean;

/** The folder that holds its package where it was fetched later. */
export declare function embeddedFolder(cacheDir: string): string;
