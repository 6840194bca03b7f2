/** See packages.mjs. */
export function packagesState(root: string): 'current' | 'missing' | 'stale';
export function installPackages(root: string): Promise<void>;
