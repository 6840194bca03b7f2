import type { BuildOptions } from 'esbuild';

/** See program.mjs. */
export function program(): Promise<string>;
export const BUNDLED: BuildOptions;
