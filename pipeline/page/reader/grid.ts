/** The grid of cards, one page at a time. */

import { address } from './amounts.ts';
import { type Choice, PAGE_SIZE } from './choice.ts';
import { button, make } from './element.ts';
import type { PageItem } from './page-data.ts';
import { say } from './say.ts';

export interface GridEvents {
  look(sku: string): void;
  /** laid out to compare, or taken back */
  lay(sku: string): void;
  turnTo(page: number): void;
  /** address of an item, to be opened in a tab of its own */
  hrefOf(sku: string): string;
}

export function pagesOf(count: number): number {
  return Math.max(1, Math.ceil(count / PAGE_SIZE));
}

/** Shows a page of the items. The cards that are there already are kept: the first view is in the HTML. */
export function showGrid(
  list: HTMLElement,
  nav: HTMLElement,
  items: readonly PageItem[],
  { page, beside }: { page: number; beside: readonly string[] },
  events: GridEvents,
): void {
  const shown = items.slice((page - 1) * PAGE_SIZE, page * PAGE_SIZE);
  const there = new Map(
    [...list.children].map((card) => [(card as HTMLElement).dataset.sku, card as HTMLElement]),
  );
  const cards = shown.map((item) => there.get(item.sku) ?? card(item));
  if (cards.length !== list.children.length || cards.some((c, i) => c !== list.children[i]))
    list.replaceChildren(...cards);
  shown.forEach((item, i) => {
    furnish(cards[i], item, events);
    const laid = beside.includes(item.sku);
    const toggle = cards[i].querySelector('.lay') as HTMLButtonElement;
    toggle.setAttribute('aria-pressed', String(laid));
    toggle.disabled = !laid && beside.length >= 2;
  });
  showPages(nav, page, pagesOf(items.length), events);
}

/** As the writer makes them (`index-page.ts`). */
function card(item: PageItem): HTMLElement {
  const tile = make('span', { class: 'tile' });
  const { thumbnail: t } = item;
  if (t)
    tile.append(
      make('img', {
        src: address(t.file),
        width: t.width,
        height: t.height,
        loading: 'lazy',
        alt: item.alt,
      }),
    );
  return make(
    'li',
    { 'data-sku': item.sku },
    make(
      'a',
      { href: '#' },
      tile,
      make('span', { class: 'name' }, item.title),
      ...item.lines.map((line) => make('span', { class: 'line' }, line)),
    ),
  );
}

function furnish(card: HTMLElement, item: PageItem, events: GridEvents): void {
  const link = card.querySelector('a')!;
  link.href = events.hrefOf(item.sku);
  if (card.querySelector('.lay')) return;
  link.addEventListener('click', (event) => {
    if (event.metaKey || event.ctrlKey || event.shiftKey || event.button !== 0) return;
    event.preventDefault();
    events.look(item.sku);
  });
  const toggle = button(say('compare'), () => events.lay(item.sku), {
    class: 'lay',
    'aria-label': `${say('compare')}: ${item.title}, ${item.sku}`,
  });
  card.append(toggle);
}

function showPages(nav: HTMLElement, page: number, pages: number, events: GridEvents): void {
  nav.hidden = pages < 2;
  const focused = nav.contains(document.activeElement) ? document.activeElement?.textContent : undefined;
  const step = (label: string, to: number) => {
    const made = button(label, () => events.turnTo(to));
    made.disabled = to < 1 || to > pages;
    return made;
  };
  nav.replaceChildren(
    step(say('earlier'), page - 1),
    make('span', {}, say('pageOf', { n: page, of: pages })),
    step(say('later'), page + 1),
  );
  const again = [...nav.querySelectorAll('button')].find((b) => b.textContent === focused && !b.disabled);
  if (focused) ((again ?? nav.querySelector('button:enabled')) as HTMLElement | null)?.focus();
}

/** Tells the boxes what is ticked and how many items each value would show. */
export function showCounts(
  inputs: readonly HTMLInputElement[],
  ticked: Choice['ticked'],
  counts: ReadonlyMap<string, ReadonlyMap<string, number>>,
): void {
  for (const input of inputs) {
    const count = counts.get(input.name)?.get(input.value) ?? 0;
    input.checked = ticked.get(input.name)?.has(input.value) ?? false;
    const label = input.parentElement!;
    label.querySelector('small')!.textContent = String(count);
    label.classList.toggle('empty', count === 0 && !input.checked);
  }
}
