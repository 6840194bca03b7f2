import picomatch from 'picomatch';
import { CliError } from './usage.ts';

/** A filter by glob; one that matches nothing is a slip and refused. */
export function skuFilter(
  glob: string | undefined,
  skus: readonly string[],
): ((sku: string) => boolean) | undefined {
  if (glob === undefined) return undefined;
  const matches = picomatch(glob);
  if (!skus.some((s) => matches(s))) {
    throw new CliError(
      `--only: no SKU matches ${glob}; there are ${skus.length}, such as ${skus.slice(0, 3).join(', ')}`,
    );
  }
  return (sku) => matches(sku);
}
