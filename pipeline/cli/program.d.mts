/** See program.mjs. */
export function program(): Promise<string>;
