/** What of a catalogue is shown and in which order. Pure: no page, no address. */

import type { PageItem } from './page-data.ts';
import { type PageKey, say } from './say.ts';

/** Cards on one page of the grid. */
export const PAGE_SIZE = 48;

export interface Choice {
  /** box name (`kind` or `axis <name>`) to the values ticked */
  ticked: ReadonlyMap<string, ReadonlySet<string>>;
  find: string;
  /** name of an order, `''` for the plan's */
  order: string;
}

export interface ChosenItems {
  items: PageItem[];
  /** box name and value to the number of items that would show if it were ticked alone in its box */
  counts: Map<string, Map<string, number>>;
}

interface Measure {
  name: string;
  /** what it is called from the least, from the largest */
  labels: [PageKey, PageKey];
  /** what has no such measure comes last, whichever way round */
  of: (item: PageItem) => number | undefined;
}

const MEASURES: Measure[] = [
  { name: 'size', labels: ['sizeUp', 'sizeDown'], of: (i) => i.sizeMm },
  { name: 'width', labels: ['widthUp', 'widthDown'], of: (i) => i.widthMm },
  { name: 'mass', labels: ['massUp', 'massDown'], of: (i) => i.massG },
  { name: 'carats', labels: ['caratsUp', 'caratsDown'], of: (i) => i.carats },
  { name: 'price', labels: ['priceUp', 'priceDown'], of: (i) => i.price },
];

/** Orders by which these items differ, with their labels. */
export function ordersOf(items: readonly PageItem[]): { name: string; label: string }[] {
  return MEASURES.filter(({ of }) => items.some((item) => of(item) !== of(items[0]))).flatMap(
    ({ name, labels }) => [
      { name, label: say(labels[0]) },
      { name: `${name}-down`, label: say(labels[1]) },
    ],
  );
}

/** Within a box any value will do, across boxes all must; every word looked for must be there. */
export function choose(items: readonly PageItem[], { ticked, find, order }: Choice): ChosenItems {
  const boxes = [...ticked].filter(([, values]) => values.size > 0);
  const words = fold(find).split(/\s+/).filter(Boolean);
  const counts: ChosenItems['counts'] = new Map();
  const count = (box: string, values: Iterable<string>) => {
    const of = counts.get(box) ?? new Map<string, number>();
    counts.set(box, of);
    for (const value of values) of.set(value, (of.get(value) ?? 0) + 1);
  };
  const shown: PageItem[] = [];
  for (const item of items) {
    if (words.length > 0 && !words.every((word) => textOf(item).includes(word))) continue;
    const own = boxValues(item);
    const failing = boxes.filter(([box, values]) => !meets(own.get(box), values)).map(([box]) => box);
    if (failing.length === 0) {
      shown.push(item);
      for (const [box, values] of own) count(box, values);
    } else if (failing.length === 1) count(failing[0], own.get(failing[0]) ?? []);
  }
  return { items: ordered(shown, order), counts };
}

function ordered(items: PageItem[], order: string): PageItem[] {
  const measure = MEASURES.find((m) => order === m.name || order === `${m.name}-down`);
  if (!measure) return items;
  const sign = order === measure.name ? 1 : -1;
  const rank = (item: PageItem) => sign * (measure.of(item) ?? sign * Number.MAX_VALUE);
  return items.sort((a, b) => rank(a) - rank(b));
}

/** An item's values in every box; a pair has those of both bands. */
function boxValues(item: PageItem): Map<string, Set<string>> {
  const values = new Map([['kind', new Set([item.kind === 'pair' ? 'Pairs' : 'Bands'])]]);
  for (const band of item.axes)
    for (const [axis, label] of Object.entries(band)) {
      const box = `axis ${axis}`;
      values.set(box, (values.get(box) ?? new Set()).add(label));
    }
  return values;
}

function meets(own: ReadonlySet<string> | undefined, wanted: ReadonlySet<string>): boolean {
  for (const value of own ?? []) if (wanted.has(value)) return true;
  return false;
}

const texts = new WeakMap<PageItem, string>();

function textOf(item: PageItem): string {
  const known = texts.get(item) ?? fold(`${item.sku} ${item.title} ${item.words.join(' ')}`);
  texts.set(item, known);
  return known;
}

/** Small letters without accents, so that nobody has to type them. */
function fold(text: string): string {
  return text.normalize('NFD').replace(/\p{M}/gu, '').toLowerCase();
}
