/** The grid of cards, one page at a time: a card for each product, which shows one of its items. */

import { card } from './cards.ts';
import { type Choice, PAGE_SIZE } from './choice.ts';
import { button, grow, make } from './element.ts';
import type { PageIndex, PageItem } from './page-data.ts';
import { moved } from './products.ts';
import { say } from './say.ts';

export interface GridEvents {
  look(sku: string): void;
  /** laid out to compare, or taken back */
  lay(sku: string): void;
  like(sku: string): void;
  /** another item of the same product is chosen on its card */
  pick(to: string, axis: string): void;
  turnTo(page: number): void;
}

/** What one card stands for. */
export interface ShownProduct {
  items: readonly PageItem[];
  chosen: PageItem;
}

export function pagesOf(count: number): number {
  return Math.max(1, Math.ceil(count / PAGE_SIZE));
}

/** Shows a page of the products. Cards that show the same already are kept: the first view is in the HTML. */
export function showGrid(
  list: HTMLElement,
  nav: HTMLElement,
  products: readonly ShownProduct[],
  index: Pick<PageIndex, 'axes' | 'metals' | 'currency'>,
  { page, beside, liked }: { page: number; beside: readonly string[]; liked: ReadonlySet<string> },
  events: GridEvents,
): void {
  const shown = products.slice((page - 1) * PAGE_SIZE, page * PAGE_SIZE);
  const there = new Map(
    [...list.children].map((made) => {
      const { sku, of } = (made as HTMLElement).dataset;
      return [`${sku} ${of}`, made as HTMLElement];
    }),
  );
  const cards = shown.map(({ chosen, items }) => {
    const made = there.get(`${chosen.sku} ${items.length}`) ?? grow(card(chosen, items, index));
    made.dataset.of = String(items.length);
    return made;
  });
  // what stays is not touched: it keeps its focus and its pictures
  for (const made of [...list.children]) if (!cards.includes(made as HTMLElement)) made.remove();
  cards.forEach((made, i) => {
    if (list.children[i] !== made) list.insertBefore(made, list.children[i] ?? null);
  });
  list.classList.toggle('few', products.length < 4);
  shown.forEach(({ chosen }, i) => {
    const laid = beside.includes(chosen.sku);
    const toggle = cards[i].querySelector('.lay') as HTMLButtonElement;
    toggle.setAttribute('aria-pressed', String(laid));
    toggle.disabled = !laid && beside.length >= 2;
    showLiked(cards[i].querySelector('.like') as HTMLElement, liked.has(chosen.sku));
  });
  showPages(nav, page, pagesOf(products.length), events);
}

export function showLiked(toggle: HTMLElement, liked: boolean): void {
  toggle.setAttribute('aria-pressed', String(liked));
  toggle.textContent = liked ? '♥' : '♡';
}

/** What cards answer to, once for all of them. */
export function answerCards(
  list: HTMLElement,
  productOf: (sku: string) => readonly PageItem[],
  events: GridEvents,
): void {
  const skuOf = (target: Element) => (target.closest('li') as HTMLElement).dataset.sku!;
  const pick = (target: Element, axis: string, value: string) => {
    const sku = skuOf(target);
    const items = productOf(sku);
    const from = items.find((item) => item.sku === sku);
    const to = from && moved(items, from, axis, value);
    if (to && to.sku !== sku) events.pick(to.sku, axis);
  };
  list.addEventListener('click', (event) => {
    const target = (event.target as Element).closest('a, button');
    if (!target) return;
    const { axis, value } = (target as HTMLElement).dataset;
    if (axis !== undefined && value !== undefined) pick(target, axis, value);
    else if (target.matches('.lay')) events.lay(skuOf(target));
    else if (target.matches('.like')) events.like(skuOf(target));
    else if (
      target.matches('a') &&
      !(event.metaKey || event.ctrlKey || event.shiftKey || event.button !== 0)
    ) {
      event.preventDefault();
      events.look(skuOf(target));
    }
  });
  list.addEventListener('change', (event) => {
    const select = event.target as HTMLSelectElement;
    if (select.dataset.axis !== undefined) pick(select, select.dataset.axis, select.value);
  });
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
