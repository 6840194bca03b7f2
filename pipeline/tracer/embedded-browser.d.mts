/**
 * Unpacks the embedded Chromium into `cacheDir` (once, about 2 s) and says how to start it; undefined where the
 * package is not installed or not made for this machine. Any number of processes may call it at once. Throws when
 * it cannot be unpacked or does not start, with the system's words.
 */
export function embeddedBrowser(
  cacheDir: string,
  log?: (line: string) => void,
): Promise<{ path: string; env: Record<string, string> } | undefined>;
