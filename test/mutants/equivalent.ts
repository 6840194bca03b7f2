import type { Mutant } from './mutate.ts';

/** Why no test could tell a mutant from the code; undefined for all others. */
export function reasonOf(_: Mutant): string | undefined {
  return undefined;
}
