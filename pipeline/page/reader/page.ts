/** The catalogue's page: from the address to what is shown, and from what readers do to the address. */

import { showBeside } from './beside.ts';
import { choose, ordersOf } from './choice.ts';
import { button, make } from './element.ts';
import { keepFavourites, readFavourites } from './favourites.ts';
import { answerCards, type GridEvents, pagesOf, type ShownProduct, showCounts, showGrid } from './grid.ts';
import { closeLook, type LookEvents, showLook, showLookProblem } from './look.ts';
import { unpack } from './packed.ts';
import { CHOICES_SCRIPT, type PageChoices, type PageItem, type PageStart } from './page-data.ts';
import { type ReaderPlace, readPlace, tickedAnew, writePlace } from './place.ts';
import { productKey, productsOf } from './products.ts';
import { hear, say } from './say.ts';
import { detailOf, fromShelf } from './shelf.ts';

const find = <T extends Element>(selector: string) => document.querySelector(selector) as T;
const start: PageStart = JSON.parse(find('#index').textContent ?? '');
hear(start);
const list = find<HTMLElement>('.cards');
const nav = find<HTMLElement>('.pages');
const found = find<HTMLElement>('.found');
const tray = find<HTMLElement>('.tray');
const lost = find<HTMLElement>('.lost');
const search = find<HTMLInputElement>('.find input');
const order = find<HTMLSelectElement>('.order select');
const clear = document.querySelector<HTMLButtonElement>('.clear');
const likedOnly = find<HTMLButtonElement>('.liked');
const views = [...document.querySelectorAll<HTMLButtonElement>('.views button')];
const filters = find<HTMLDetailsElement>('.filters');
const inputs = [...document.querySelectorAll<HTMLInputElement>('.filters input')];
const look = find<HTMLDialogElement>('dialog.look');
const beside = find<HTMLDialogElement>('dialog.beside');

/** The items come right after the first view; nothing is answered before. */
let all: readonly PageItem[] = [];
let items: ReadonlyMap<string, PageItem> = new Map();
/** designs, whatever the grid shows */
let products: ReadonlyMap<string, readonly PageItem[]> = new Map();
const readHere = () => readPlace(location.hash, (sku) => items.has(sku));
const liked = readFavourites(start.catalogue);
/** product, in the view of the grid, to the item that was chosen on its card */
const chosen = new Map<string, string>();

let place = readHere();
/** did this page put the open dialog's entry into the history? Then closing is going back. */
let entered = false;
let shown: ShownProduct[] = [];

/** Goes to another place. `enter` makes a new entry in the history, so that going back returns. */
function go(change: Partial<ReaderPlace>, { enter = false } = {}): void {
  place = { ...place, ...change, lost: [] };
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

function like(sku: string): void {
  if (!liked.delete(sku)) liked.add(sku);
  keepFavourites(start.catalogue, liked);
  show();
}

/** On a card, or wherever else an item is chosen: its card then shows it. */
function settle(sku: string): void {
  chosen.set(productKey(items.get(sku)!, place.view), sku);
}

const events: GridEvents & LookEvents = {
  look: (sku) => open({ item: sku }),
  lay,
  like,
  pick(to, axis) {
    settle(to);
    show();
    const again = `[data-sku="${CSS.escape(to)}"] [data-axis="${CSS.escape(axis)}"]`;
    const controls = [...list.querySelectorAll<HTMLElement>(again)];
    (controls.find((c) => c.ariaPressed === 'true') ?? controls[0])?.focus({ preventScroll: true });
  },
  turnTo(page) {
    go({ page }, { enter: true });
    list.scrollIntoView({ block: 'start' });
  },
  go(sku) {
    settle(sku);
    go({ item: sku });
  },
  close: () => look.close(),
};

// ---- what is shown

function show(): void {
  showItems();
  showTray();
  showLost();
  showDialogs();
}

function showItems(): void {
  const among = place.liked ? all.filter(({ sku }) => liked.has(sku)) : all;
  const { items: fitting, counts } = choose(among, place);
  shown = [...productsOf(fitting, place.view)].map(([key, members]) => ({
    items: members,
    chosen: members.find(({ sku }) => sku === chosen.get(key)) ?? members[0],
  }));
  place.page = Math.min(place.page, pagesOf(shown.length));
  showGrid(list, nav, shown, start, { ...place, liked }, events);
  showCounts(inputs, place.ticked, counts);
  if (search.value !== place.find) search.value = place.find;
  order.value = place.order;
  const narrowed = place.ticked.size > 0 || place.find !== '';
  if (clear) clear.hidden = !narrowed;
  likedOnly.textContent = say('favourites', { n: liked.size });
  likedOnly.hidden = liked.size === 0 && !place.liked;
  likedOnly.setAttribute('aria-pressed', String(place.liked));
  for (const view of views) view.setAttribute('aria-pressed', String(view.dataset.view === place.view));
  found.textContent =
    fitting.length === 0
      ? say(place.liked && liked.size === 0 ? 'noFavourites' : 'nothingFits')
      : fitting.length < all.length
        ? say('of', { n: fitting.length, of: all.length })
        : say('inAll', { n: all.length });
}

function showTray(): void {
  tray.hidden = place.beside.length === 0;
  if (tray.hidden) return;
  const chips = place.beside.map((sku) =>
    button(sku, () => lay(sku), { class: 'laid', 'aria-label': say('takeAway', { sku }) }),
  );
  const compare = button(say('sideBySide'), () => open({ comparing: true, item: '' }), { class: 'main' });
  compare.disabled = place.beside.length < 2;
  tray.replaceChildren(...chips, place.beside.length < 2 ? make('span', {}, say('another')) : '', compare);
}

/** A link may be older than the catalogue: then it says what it led to. */
function showLost(): void {
  lost.hidden = place.lost.length === 0;
  lost.textContent = place.lost.map((sku) => say('lost', { sku: sku.slice(0, 80) })).join(' ');
}

function showDialogs(): void {
  if (place.comparing) openComparison();
  else if (beside.open) beside.close();
  if (place.item && !place.comparing) openLook(items.get(place.item)!);
  else if (look.open) look.close();
}

async function openLook(item: PageItem): Promise<void> {
  const sku = item.sku;
  const seen = {
    order: shownSkus(sku),
    items,
    product: products.get(productKey(item))!,
    beside: place.beside,
    liked,
    start,
  };
  look.dataset.sku = sku;
  try {
    const detail = await detailOf(item);
    if (place.item !== sku) return;
    showLook(look, detail, seen, events);
  } catch (error) {
    showLookProblem(look, item, error instanceof Error ? error.message : String(error), () => look.close());
  }
  openDialog(look);
}

/** What going on leads through: the cards as they are, or all items for one that is on none of them. */
function shownSkus(sku: string): string[] {
  const skus = shown.map((p) => p.chosen.sku);
  return skus.includes(sku) ? skus : [...items.keys()];
}

async function openComparison(): Promise<void> {
  const [a, b] = place.beside.map((sku) => items.get(sku)!);
  if (beside.open) return;
  try {
    const two = await Promise.all([detailOf(a), detailOf(b)]);
    if (!place.comparing) return;
    showBeside(beside, two, () => beside.close());
  } catch (error) {
    showLookProblem(beside, a, error instanceof Error ? error.message : String(error), () => beside.close());
    beside.querySelector('h2')?.setAttribute('id', 'beside-title');
  }
  openDialog(beside);
}

function openDialog(dialog: HTMLDialogElement): void {
  if (dialog.open) return;
  dialog.showModal();
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
  const busy = event.target instanceof Element && event.target.closest('input, select, textarea, .zoomed');
  if (!step || busy || event.altKey || event.ctrlKey || event.metaKey) return;
  const skus = shownSkus(place.item);
  const to = skus[skus.indexOf(place.item) + step];
  if (to !== undefined) events.go(to);
});

// ---- what readers do

function answer(): void {
  answerCards(list, (sku) => shown.find((p) => p.chosen.sku === sku)?.items ?? [], events);
  for (const input of inputs)
    input.addEventListener('change', () =>
      refine({ ticked: tickedAnew(place.ticked, input.name, input.value, input.checked) }),
    );
  search.addEventListener('input', () => refine({ find: search.value }));
  order.addEventListener('change', () => refine({ order: order.value }));
  likedOnly.addEventListener('click', () => refine({ liked: !place.liked }));
  for (const view of views)
    view.addEventListener('click', () =>
      refine({ view: view.dataset.view === 'looks' ? 'looks' : 'designs' }),
    );
  clear?.addEventListener('click', () => {
    refine({ ticked: new Map(), find: '' });
    inputs[0]?.focus();
  });
  for (const event of ['popstate', 'hashchange'])
    window.addEventListener(event, () => {
      const there = readHere();
      if (writePlace(there) === writePlace(place) && there.lost.length === 0) return;
      entered = false;
      place = there;
      show();
    });
}

function begin(packed: PageChoices): void {
  hear({ ...start, messages: packed.messages });
  all = unpack<PageItem>(packed);
  items = new Map(all.map((item) => [item.sku, item]));
  products = productsOf(all);
  for (const { name, label } of ordersOf(all)) order.append(make('option', { value: name }, label));
  place = readHere();
  if (place.item) settle(place.item);
  answer();
  show();
  document.documentElement.dataset.ready = '';
}

const wide = window.matchMedia('(min-width: 60rem)');
const fold = () => {
  filters.open = wide.matches;
};
wide.addEventListener('change', fold);
fold();
filters.hidden = inputs.length === 0;

fromShelf<PageChoices>(CHOICES_SCRIPT).then(begin, (error: unknown) => {
  found.textContent = error instanceof Error ? error.message : String(error);
});
