/** The large view of one item: its pictures on a stage, what is chosen, facts, checks, files. */

import { totalPrice } from '../../facts/total-price.ts';
import { acts } from './buy.ts';
import { downloads } from './downloads.ts';
import { button, grow, make, signButton } from './element.ts';
import { bandHeading, benchCheckList, factTables } from './facts.ts';
import { showLiked } from './grid.ts';
import type { ItemDetail, PageItem, PageStart } from './page-data.ts';
import { pickers } from './pickers.ts';
import { shotName, shownShots } from './pictures.ts';
import { moved } from './products.ts';
import { roomLinks } from './room.ts';
import { figure, priceText, say } from './say.ts';
import { sizeHelp } from './size-help.ts';
import { closeStage, pictures } from './stage.ts';

export interface LookEvents {
  go(sku: string): void;
  lay(sku: string): void;
  like(sku: string): void;
  close(): void;
}

export interface LookPlace {
  /** SKUs as the grid shows them */
  order: readonly string[];
  items: ReadonlyMap<string, PageItem>;
  /** items of the same design */
  product: readonly PageItem[];
  beside: readonly string[];
  liked: ReadonlySet<string>;
  start: PageStart;
}

export function closeLook(): void {
  closeStage();
}

/** Shows an item; if it is there already, only what of it readers change. Another choice keeps the reader's place. */
export function showLook(
  dialog: HTMLDialogElement,
  item: ItemDetail,
  place: LookPlace,
  events: LookEvents,
): void {
  const column = dialog.querySelector<HTMLElement>('.item > .facts');
  if (column?.dataset.sku === item.sku) {
    showStates(dialog, item.sku, place);
    return;
  }
  const { scrollTop } = dialog;
  const axis = (document.activeElement as HTMLElement | null)?.dataset.axis;
  const stepped = document.activeElement?.closest('.bar')
    ? document.activeElement.getAttribute('aria-label')
    : undefined;
  closeLook();
  dialog.replaceChildren(
    bar(item, place, events),
    make('div', { class: 'item' }, pictures(item, place.items), facts(item, place, events)),
  );
  showStates(dialog, item.sku, place);
  if (!dialog.open) return;
  dialog.scrollTop = scrollTop;
  const again = axis && [...dialog.querySelectorAll<HTMLElement>(`[data-axis="${CSS.escape(axis)}"]`)];
  const chip = again && (again.find((c) => c.ariaPressed === 'true') ?? again[0]);
  const step = stepped && dialog.querySelector<HTMLElement>(`.bar [aria-label="${CSS.escape(stepped)}"]`);
  (chip || step || dialog.querySelector<HTMLElement>('h2'))?.focus({ preventScroll: true });
}

export function showLookProblem(
  dialog: HTMLDialogElement,
  item: PageItem,
  why: string,
  close: () => void,
): void {
  closeLook();
  dialog.replaceChildren(
    make('div', { class: 'bar' }, make('span', {}), signButton('✕', say('close'), close)),
    make(
      'div',
      { class: 'item' },
      make('h2', { id: 'look-title', tabindex: -1 }, item.title),
      make('p', { role: 'alert' }, why),
    ),
  );
}

/** Laid out to compare, and liked. */
function showStates(dialog: HTMLDialogElement, sku: string, { beside, liked }: LookPlace): void {
  const compare = dialog.querySelector<HTMLButtonElement>('.bar .lay');
  const laid = beside.includes(sku);
  compare?.setAttribute('aria-pressed', String(laid));
  if (compare) compare.disabled = !laid && beside.length >= 2;
  const heart = dialog.querySelector<HTMLElement>('.acts .like');
  if (heart) showLiked(heart, liked.has(sku));
}

function bar(item: ItemDetail, { order }: LookPlace, events: LookEvents): HTMLElement {
  const at = order.indexOf(item.sku);
  const step = (sign: string, label: string, sku: string | undefined) => {
    const made = signButton(sign, label, () => sku && events.go(sku));
    made.disabled = sku === undefined;
    return made;
  };
  return make(
    'div',
    { class: 'bar' },
    make('span', { class: 'where' }, at < 0 ? '' : say('of', { n: at + 1, of: order.length })),
    button(say('compare'), () => events.lay(item.sku), { class: 'lay' }),
    step('‹', say('previous'), order[at - 1]),
    step('›', say('next'), at < 0 ? undefined : order[at + 1]),
    signButton('✕', say('close'), events.close),
  );
}

function facts(item: ItemDetail, place: LookPlace, events: LookEvents): HTMLElement {
  const held = item.bands.some((b) => b.held);
  const column = make(
    'div',
    { class: 'facts', 'data-sku': item.sku },
    imprint(),
    make('h2', { id: 'look-title', tabindex: -1 }, item.title),
  );
  const price = totalPrice(item.bands);
  if (price)
    column.append(
      make('p', { class: 'price' }, make('span', { class: 'unseen' }, `${say('price')}: `), priceText(price)),
    );
  if (held) column.append(make('p', { class: 'held' }, say('heldBack')));
  column.append(
    choices(item, place, events),
    acts(item, { held, shop: place.start.shop, liked: place.liked.has(item.sku), like: events.like }),
    make('p', { class: 'sku' }, item.sku),
  );
  const several = item.bands.length > 1;
  const level = several ? 'h4' : 'h3';
  item.bands.forEach((band, i) => {
    if (several) column.append(make('h3', { class: 'band' }, bandHeading(band, i)));
    column.append(...factTables(band, level), ...benchCheckList(band, level));
  });
  column.append(grow(sizeHelp()), ...roomLinks(item), ...downloads(item), notes(item));
  return column;
}

/** On paper alone: whose sheet it is, as the page's head says it. */
function imprint(): HTMLElement {
  const said = ['.workshop', 'h1'].map((of) => document.querySelector(`header ${of}`)?.textContent ?? '');
  return make('p', { class: 'imprint' }, said.filter(Boolean).join(' · '));
}

/** Metal, stone, width and size: another choice shows its picture, facts and price in this place. */
function choices(item: ItemDetail, { items, product, start }: LookPlace, events: LookEvents): HTMLElement {
  const own = items.get(item.sku);
  const box = make('div', { class: 'picks' });
  if (!own) return box;
  box.append(...pickers(product, own, start, 'item').map(grow));
  const pick = (axis: string, value: string) => {
    const to = moved(product, own, axis, value);
    if (to && to.sku !== own.sku) events.go(to.sku);
  };
  box.addEventListener('click', (event) => {
    const { axis, value } = (event.target as Element).closest<HTMLElement>('.chip')?.dataset ?? {};
    if (axis !== undefined && value !== undefined) pick(axis, value);
  });
  box.addEventListener('change', (event) => {
    const select = event.target as HTMLSelectElement;
    if (select.dataset.axis !== undefined) pick(select.dataset.axis, select.value);
  });
  return box;
}

function notes(item: ItemDetail): HTMLElement {
  const noise = shownShots(item).map((s) =>
    say('noiseOf', {
      shot: shotName(s, item),
      share: figure(100 * s.noise.reached, 1),
      n: s.noise.passes,
    }),
  );
  return make(
    'ul',
    { class: 'notes' },
    ...item.cautions.map((c) => make('li', {}, c)),
    make('li', {}, say('renderings')),
    make('li', { class: 'noise' }, `${say('noise')}: ${noise.join('; ')}.`),
  );
}
