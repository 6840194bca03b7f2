/**
 * Names of folders that we make, the same on every system.
 *
 * Devices of Windows are devices there with any ending ("Naming Files, Paths, and Namespaces", Microsoft Learn), which
 * also drops dots at the end of a name.
 */
const DEVICE = /^(?:con|prn|aux|nul|com\d|lpt\d)(?:\.|$)/i;

/** Letters, digits, single dots, hyphens and underscores, from a letter or digit to a letter, digit or underscore. */
export function isFolderName(name: string, most: number): boolean {
  return (
    name.length <= most &&
    /^[A-Za-z0-9](?:[A-Za-z0-9._-]*[A-Za-z0-9_])?$/.test(name) &&
    !name.includes('..') &&
    !DEVICE.test(name)
  );
}

/** What a catalogue's folder keeps for itself, or once did: no SKU may be called so. */
const TAKEN = [
  'models',
  'page',
  'pictures',
  'assets',
  'proofs',
  'swatches',
  'comparison',
  'comparison.html',
  'movies',
  'products',
  'index.html',
  'catalogue.html',
  'catalogue.json',
  'catalogue.jsonld',
  'catalogue.csv',
  'feed.csv',
  'shop-import.csv',
  'sitemap.xml',
  'changes.json',
];

export const LONGEST_SKU = 80;

/** The one rule of SKUs, each of which names a folder in the catalogue's. */
export function isSafeSku(sku: string): boolean {
  return isFolderName(sku, LONGEST_SKU) && !TAKEN.includes(sku.toLowerCase());
}

/** Endings of the folders beside a catalogue's, in which its private papers and its draft lie. */
const BESIDE = /-(?:private|draft)$/i;

/** The rule of catalogues' names: none is the folder beside another. */
export function isSafeCatalogue(name: string): boolean {
  return isFolderName(name, 32) && !BESIDE.test(name);
}
