import picomatch from 'picomatch';
import type { Sku } from '../plan/plan.ts';
import { CliError } from './usage.ts';

const MOST_CHARACTERS = 400;
/** Time grows with the length of a SKU to the power of this. */
const MOST_STARS = 8;

/** A filter by glob; one that matches nothing is a slip and refused. */
export function skuFilter(
  glob: string | undefined,
  skus: readonly Sku[],
): ((sku: Sku) => boolean) | undefined {
  if (glob === undefined) return undefined;
  const stars = glob.split('*').length - 1;
  if (glob.length > MOST_CHARACTERS || stars > MOST_STARS)
    throw new CliError(
      `--only: expected at most ${MOST_CHARACTERS} characters and ${MOST_STARS} stars but received ${glob.length} and ${stars}`,
    );
  const matches = picomatch(glob, { noextglob: true });
  if (!skus.some((s) => matches(s))) {
    throw new CliError(
      `--only: no SKU matches ${glob}; there are ${skus.length}, such as ${skus.slice(0, 3).join(', ')}`,
    );
  }
  return (sku) => matches(sku);
}
