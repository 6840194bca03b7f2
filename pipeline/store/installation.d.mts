/** Absolute path of the folder that holds `pipeline/`, `templates/` and `configs/`. */
export declare const ROOT: string;

/** A released package: everything is built, nothing in it is written. */
export declare const RELEASED: boolean;

/** May be written: a clone's own, or the user's. */
export declare const CACHE_DIR: string;

/** Where kernel and browser scripts lie once built. */
export declare const BUILT_DIR: string;

/**
 * The user's cache folder by the system's convention: XDG Base Directory Specification 0.8 on Linux, File System
 * Programming Guide on macOS, Known Folders (LocalAppData) on Windows. A home that no variable names is the account's.
 */
export declare function userCache(
  platform?: NodeJS.Platform,
  env?: Record<string, string | undefined>,
  home?: string,
): string;
