/** See setup-lock.mjs. */
export function alone<T>(root: string, log: (line: string) => void, work: () => Promise<T>): Promise<T>;
