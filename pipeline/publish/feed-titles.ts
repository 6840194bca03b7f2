import type { Catalogue, CatalogueEntry } from '../facts/catalogue-schema.ts';
import { bandTitle } from '../facts/wording.ts';
import { cutAtWord } from '../words/cut-at-word.ts';
import type { Locale } from '../words/locale.ts';

/** Most characters of a title in product data (support.google.com/merchants/answer/6324415, from memory). */
const MOST = 150;
/** What a title says of itself: metals and stones with their fineness and origin, and the width. */
const SAID = ['metal', 'stone', 'width'];

/**
 * Titles by SKU, no two alike: what a band is of and how wide it is, then what the config's own axes call it, and its
 * size. Where that is still the same, as of two alloys that change places, its metal and stone as the catalogue calls them. Only
 * the first part is ever cut, at a word, so that what tells variants apart is always there.
 */
export function feedTitles(
  items: readonly CatalogueEntry[],
  axes: Catalogue['axes'],
  locale: Locale,
): Map<string, string> {
  const tails = new Map(items.map((item) => [item.sku, tailOf(item, axes, [])]));
  const whole = ({ sku, bands }: CatalogueEntry) => withTail(bandTitle(bands[0], locale), tails.get(sku)!);
  for (const more of [['metal'], ['metal', 'stone'], SAID])
    for (const alike of repeated(items, whole)) tails.set(alike.sku, tailOf(alike, axes, more));
  return new Map(items.map((item) => [item.sku, whole(item)]));
}

/** Items whose title another has too. */
function repeated(items: readonly CatalogueEntry[], titleOf: (item: CatalogueEntry) => string) {
  const counts = new Map<string, number>();
  for (const item of items) counts.set(titleOf(item), (counts.get(titleOf(item)) ?? 0) + 1);
  return items.filter((item) => counts.get(titleOf(item))! > 1);
}

function tailOf(
  { bands: [band] }: CatalogueEntry,
  axes: Catalogue['axes'],
  more: readonly string[],
): string[] {
  const own = axes
    .filter(({ name }) => name !== 'size' && (!SAID.includes(name) || more.includes(name)))
    .flatMap(({ name }) => band.axes[name] ?? []);
  return [...own, band.axes.size ?? band.sizes[0]?.text].filter((part) => part !== undefined);
}

function withTail(head: string, tail: readonly string[]): string {
  const end = tail.map((part) => `, ${part}`).join('');
  return end.length < MOST / 2 ? cutAtWord(head, MOST - end.length) + end : cutAtWord(head + end, MOST);
}
