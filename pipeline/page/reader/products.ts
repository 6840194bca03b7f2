/** Which items are one product, and what of it a buyer chooses. Pure: no page, no address. */

import type { PageItem } from './page-data.ts';

type Item = Pick<PageItem, 'sku' | 'kind' | 'axes' | 'pair'>;

/** What a buyer chooses of one design; what differs in any other axis is another design. */
const CHOSEN = ['metal', 'stone', 'width', 'size'];
/** Of these what one sees at a glance. */
const LOOKS = ['metal', 'stone'];

/** `designs`: a card for each design; `looks`: one for each metal and stone of it. */
export type View = 'designs' | 'looks';

/** Equal for items of one card. */
export function productKey({ kind, pair, axes }: Item, view: View = 'designs'): string {
  const [own] = axes;
  const apart = Object.entries(own ?? {}).filter(([axis]) => !CHOSEN.includes(axis));
  const looks = view === 'looks' ? axes.map((band) => LOOKS.map((axis) => band[axis])) : [];
  return JSON.stringify([kind, pair ?? '', apart, looks]);
}

/** Items by product, products in the order of their first items. */
export function productsOf<T extends Item>(items: readonly T[], view: View = 'designs'): Map<string, T[]> {
  const products = new Map<string, T[]>();
  for (const item of items) {
    const key = productKey(item, view);
    const members = products.get(key);
    if (members) members.push(item);
    else products.set(key, [item]);
  }
  return products;
}

export interface Choices {
  axis: string;
  values: string[];
}

/**
 * What is to be chosen within a product: axes on which its items differ, with their values, looks before measures.
 * @param axes of the catalogue, whose order of values is kept
 */
export function choicesOf(
  items: readonly Item[],
  axes: readonly { name: string; values: readonly string[] }[],
): Choices[] {
  const rank = (axis: string) => (CHOSEN.includes(axis) ? CHOSEN.indexOf(axis) : CHOSEN.length);
  return axes
    .map(({ name, values }) => {
      const worn = new Set(items.map((item) => item.axes[0]?.[name]));
      return { axis: name, values: values.filter((v) => worn.has(v)) };
    })
    .filter(({ values }) => values.length > 1)
    .sort((a, b) => rank(a.axis) - rank(b.axis));
}

/**
 * The item of a product that has a value, and is else as like the one chosen before as there is one.
 * @returns undefined if none has it
 */
export function moved<T extends Item>(
  items: readonly T[],
  from: Item,
  axis: string,
  value: string,
): T | undefined {
  const alike = (item: Item) =>
    Object.entries(from.axes[0] ?? {}).filter(([name, label]) => item.axes[0]?.[name] === label).length;
  let best: T | undefined;
  for (const item of items)
    if (item.axes[0]?.[axis] === value && (!best || alike(item) > alike(best))) best = item;
  return best;
}

/** Whether choosing it would change nothing but this axis. */
export function near(from: Item, to: Item, axis: string): boolean {
  return Object.entries(from.axes[0] ?? {}).every(
    ([name, label]) => name === axis || to.axes[0]?.[name] === label,
  );
}
