/** Environment variable with the path of the browser to use. */
export const BROWSER_VARIABLE: 'BANDWRIGHT_BROWSER';

export interface FoundBrowser {
  how: 'BANDWRIGHT_BROWSER' | "puppeteer's cache" | 'system' | 'embedded';
  path: string;
  /** to be added to the browser's environment */
  env: Record<string, string>;
  /** why it cannot be started, when that is known already */
  fault?: string;
}

/**
 * Every browser on this machine, the one to prefer first: the user's variable (then nothing else is looked at),
 * puppeteer's cache, the system, the embedded one. Lazy: the embedded one is unpacked only when asked for, and left
 * out without a `cacheDir`. Nothing is started, so a browser given here may still prove unfit.
 */
export function findBrowsers(options?: {
  env?: Record<string, string | undefined>;
  platform?: NodeJS.Platform;
  home?: string;
  cacheDir?: string;
  log?: (line: string) => void;
}): AsyncGenerator<FoundBrowser>;

/** Is it a file that this user may execute? */
export function executable(path: string): boolean;

/** How to get a browser on this system; a sentence without its full stop. */
export function browserAdvice(platform?: NodeJS.Platform): string;
