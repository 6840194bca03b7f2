import type { RingSize } from './ring-size.ts';

const DECIMALS: readonly [string, string][] = [
  ['¼', '.25'],
  ['½', '.5'],
  ['¾', '.75'],
];

/** Short form of a size for SKUs and file names: `ISO54`, `US7.5`, `UKZ1.5`. Only letters, digits and dots. */
export function sizeSlug(size: RingSize): string {
  return DECIMALS.reduce((s, [sign, decimal]) => s.replace(sign, decimal), size.name).replace(/[\s+]/g, '');
}
