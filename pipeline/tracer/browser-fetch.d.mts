/**
 * Fetches a browser to trace in: on Linux x64 the embedded one through npm into `cacheDir`, elsewhere a headless Chrome
 * into puppeteer's cache.
 * @throws Error whose message says why none came
 */
export declare function fetchBrowser(cacheDir: string, log: (line: string) => void): Promise<void>;
