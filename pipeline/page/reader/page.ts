/** The catalogue's page: from the address to what is shown, and from what readers do to the address. */

import { showBeside } from './beside.ts';
import { choose, ordersOf } from './choice.ts';
import { button, make } from './element.ts';
import { pagesOf, showCounts, showGrid } from './grid.ts';
import { closeLook, showLook, showLookProblem } from './look.ts';
import type { PageIndex, PageItem } from './page-data.ts';
import { type ReaderPlace, readPlace, writePlace } from './place.ts';
import { hear, say } from './say.ts';
import { detailOf } from './shelf.ts';

const find = <T extends Element>(selector: string) => document.querySelector(selector) as T;
const index: PageIndex = JSON.parse(find('#index').textContent ?? '');
hear(index);
const items = new Map(index.items.map((item) => [item.sku, item]));
const list = find<HTMLElement>('.cards');
const nav = find<HTMLElement>('.pages');
const found = find<HTMLElement>('.found');
const tray = find<HTMLElement>('.tray');
const search = find<HTMLInputElement>('.find input');
const order = find<HTMLSelectElement>('.order select');
const clear = document.querySelector<HTMLButtonElement>('.clear');
const filters = find<HTMLDetailsElement>('.filters');
const inputs = [...document.querySelectorAll<HTMLInputElement>('.filters input')];
const look = find<HTMLDialogElement>('dialog.look');
const beside = find<HTMLDialogElement>('dialog.beside');

let place = readPlace(location.hash, (sku) => items.has(sku));
/** did this page put the open dialog's entry into the history? Then closing is going back. */
let entered = false;
let shownSkus: string[] = [];

const hrefOf = (sku: string) => writePlace({ ...place, item: sku, comparing: false });

/** Goes to another place. `enter` makes a new entry in the history, so that going back returns. */
function go(change: Partial<ReaderPlace>, { enter = false } = {}): void {
  place = { ...place, ...change };
  const url = location.pathname + location.search + writePlace(place);
  if (enter) history.pushState(null, '', url);
  else history.replaceState(null, '', url);
  show();
}

function open(change: Partial<ReaderPlace>): void {
  entered = true;
  go(change, { enter: true });
}

function leave(): void {
  if (entered) history.back();
  else go({ item: '', comparing: false });
}

/** Ticks, words and orders start the grid from its first page. */
function refine(change: Partial<ReaderPlace>): void {
  go({ ...change, page: 1 });
}

function lay(sku: string): void {
  const laid = place.beside.includes(sku)
    ? place.beside.filter((s) => s !== sku)
    : [...place.beside, sku].slice(-2);
  go({ beside: laid });
}

// ---- what is shown

function show(): void {
  showItems();
  showTray();
  showDialogs();
}

function showItems(): void {
  const { items: shown, counts } = choose(index.items, place);
  place.page = Math.min(place.page, pagesOf(shown.length));
  shownSkus = shown.map((item) => item.sku);
  showGrid(list, nav, shown, place, {
    look: (sku) => open({ item: sku }),
    lay,
    turnTo(page) {
      go({ page }, { enter: true });
      list.scrollIntoView({ block: 'start' });
    },
    hrefOf,
  });
  showCounts(inputs, place.ticked, counts);
  if (search.value !== place.find) search.value = place.find;
  order.value = place.order;
  const narrowed = place.ticked.size > 0 || place.find !== '';
  if (clear) clear.hidden = !narrowed;
  found.textContent =
    shown.length === 0
      ? say('nothingFits')
      : narrowed
        ? say('of', { n: shown.length, of: index.items.length })
        : say('inAll', { n: index.items.length });
}

function showTray(): void {
  tray.hidden = place.beside.length === 0;
  if (tray.hidden) return;
  const chips = place.beside.map((sku) =>
    button(sku, () => lay(sku), { class: 'chip', 'aria-label': say('takeAway', { sku }) }),
  );
  const compare = button(say('sideBySide'), () => open({ comparing: true, item: '' }), { class: 'main' });
  compare.disabled = place.beside.length < 2;
  tray.replaceChildren(...chips, place.beside.length < 2 ? make('span', {}, say('another')) : '', compare);
}

function showDialogs(): void {
  if (place.comparing) openComparison();
  else if (beside.open) beside.close();
  if (place.item && !place.comparing) openLook(items.get(place.item)!);
  else if (look.open) look.close();
}

const close = (dialog: HTMLDialogElement) => () => dialog.close();

async function openLook(item: PageItem): Promise<void> {
  const sku = item.sku;
  const already = look.open && look.dataset.sku === sku;
  look.dataset.sku = sku;
  try {
    const detail = await detailOf(item);
    if (place.item !== sku) return;
    const seen = {
      order: shownSkus.includes(sku) ? shownSkus : [...items.keys()],
      items,
      beside: place.beside,
    };
    const events = { go: (to: string) => go({ item: to }), lay, close: close(look), hrefOf };
    if (already && look.firstElementChild) {
      const pressed = look.querySelector('.bar .lay');
      pressed?.setAttribute('aria-pressed', String(place.beside.includes(sku)));
      return;
    }
    showLook(look, detail, seen, events);
  } catch (error) {
    showLookProblem(look, item, error instanceof Error ? error.message : String(error), close(look));
  }
  openDialog(look);
}

async function openComparison(): Promise<void> {
  const [a, b] = place.beside.map((sku) => items.get(sku)!);
  if (beside.open) return;
  try {
    const two = await Promise.all([detailOf(a), detailOf(b)]);
    if (!place.comparing) return;
    showBeside(beside, two, close(beside));
  } catch (error) {
    showLookProblem(beside, a, error instanceof Error ? error.message : String(error), close(beside));
    beside.querySelector('h2')?.setAttribute('id', 'beside-title');
  }
  openDialog(beside);
}

function openDialog(dialog: HTMLDialogElement): void {
  if (!dialog.open) dialog.showModal();
  document.documentElement.classList.add('still');
  dialog.scrollTop = 0;
  dialog.querySelector<HTMLElement>('h2')?.focus({ preventScroll: true });
}

for (const dialog of [look, beside])
  dialog.addEventListener('close', () => {
    const was = dialog.dataset.sku;
    closeLook();
    dialog.replaceChildren();
    delete dialog.dataset.sku;
    if (!look.open && !beside.open) document.documentElement.classList.remove('still');
    const here = dialog === look ? place.item !== '' : place.comparing;
    // closed by the reader, not by the address
    if (here && !(dialog === look && place.comparing)) leave();
    entered = false;
    const card = was ? list.querySelector<HTMLElement>(`[data-sku="${CSS.escape(was)}"] a`) : null;
    (card ?? tray.querySelector<HTMLElement>('.main'))?.focus({ preventScroll: true });
  });
look.addEventListener('keydown', (event) => {
  const step = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
  const busy = event.target instanceof Element && event.target.matches('input, select, textarea');
  if (!step || busy || event.altKey || event.ctrlKey || event.metaKey) return;
  const to = shownSkus[shownSkus.indexOf(place.item) + step];
  if (to !== undefined && shownSkus.includes(place.item)) go({ item: to });
});

// ---- what readers do

for (const input of inputs)
  input.addEventListener('change', () => {
    const ticked = new Map([...place.ticked].map(([box, values]) => [box, new Set(values)]));
    const values = ticked.get(input.name) ?? new Set<string>();
    if (input.checked) values.add(input.value);
    else values.delete(input.value);
    if (values.size > 0) ticked.set(input.name, values);
    else ticked.delete(input.name);
    refine({ ticked });
  });
search.addEventListener('input', () => refine({ find: search.value }));
order.addEventListener('change', () => refine({ order: order.value }));
clear?.addEventListener('click', () => {
  refine({ ticked: new Map(), find: '' });
  inputs[0]?.focus();
});
for (const { name, label } of ordersOf(index.items)) order.append(make('option', { value: name }, label));

const wide = window.matchMedia('(min-width: 60rem)');
const fold = () => {
  filters.open = wide.matches;
};
wide.addEventListener('change', fold);
fold();
filters.hidden = inputs.length === 0;

for (const event of ['popstate', 'hashchange'])
  window.addEventListener(event, () => {
    const there = readPlace(location.hash, (sku) => items.has(sku));
    if (writePlace(there) === writePlace(place)) return;
    entered = false;
    place = there;
    show();
  });
show();
