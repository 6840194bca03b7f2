/** The large view of one item: its pictures on a stage, facts, checks, files. */

import { address } from './amounts.ts';
import { downloads } from './downloads.ts';
import { button, make, signButton } from './element.ts';
import { bandHeading, benchChecks, factTables, trueSize } from './facts.ts';
import { type ModelOfBand, modelPane } from './model-pane.ts';
import type { DetailShot, ItemDetail, PageItem } from './page-data.ts';
import { framesShown, largest, picture, shotName, shownShots, smallest } from './pictures.ts';
import { roomLinks } from './room.ts';
import { figure, priceText, say, totalPrice } from './say.ts';
import { turner } from './turner.ts';

export interface LookEvents {
  go(sku: string): void;
  lay(sku: string): void;
  close(): void;
  hrefOf(sku: string): string;
}

export interface LookPlace {
  /** SKUs as the grid shows them */
  order: readonly string[];
  items: ReadonlyMap<string, PageItem>;
  beside: readonly string[];
}

const SIZES = '(min-width: 60rem) 58vw, 100vw';

/** Ends what the stage shows: a model gives its graphics memory back. */
let endStage = () => {};

export function closeLook(): void {
  endStage();
  endStage = () => {};
}

export function showLook(
  dialog: HTMLDialogElement,
  item: ItemDetail,
  place: LookPlace,
  events: LookEvents,
): void {
  closeLook();
  dialog.replaceChildren(
    bar(item, place, events),
    make('div', { class: 'item' }, pictures(item, place.items), facts(item, place, events)),
  );
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
      make('h2', { id: 'look-title' }, item.title),
      make('p', { role: 'alert' }, why),
    ),
  );
}

function bar(item: ItemDetail, { order, beside }: LookPlace, events: LookEvents): HTMLElement {
  const at = order.indexOf(item.sku);
  const step = (sign: string, label: string, sku: string | undefined) => {
    const made = signButton(sign, label, () => sku && events.go(sku));
    made.disabled = sku === undefined;
    return made;
  };
  const laid = beside.includes(item.sku);
  const compare = button(say('compare'), () => events.lay(item.sku), {
    class: 'lay',
    'aria-pressed': String(laid),
  });
  compare.disabled = !laid && beside.length >= 2;
  return make(
    'div',
    { class: 'bar' },
    make('span', { class: 'where' }, at < 0 ? '' : say('of', { n: at + 1, of: order.length })),
    compare,
    step('‹', say('previous'), order[at - 1]),
    step('›', say('next'), at < 0 ? undefined : order[at + 1]),
    signButton('✕', say('close'), events.close),
  );
}

/** A stage for one picture, and a row to choose from. */
function pictures(item: ItemDetail, items: LookPlace['items']): HTMLElement {
  const stage = make('div', { class: 'stage' });
  const shots = shownShots(item);
  const choices: { label: string; face: Node | string; show: () => void }[] = shots.map((shot) => {
    const small = smallest(shot);
    return {
      label: shotName(shot, item),
      face: small
        ? make('img', { src: address(small.file), alt: '', loading: 'lazy' })
        : shotName(shot, item),
      show: () => stage.replaceChildren(...shotOnStage(item, shot)),
    };
  });
  for (const model of modelsOf(item, items)) {
    choices.push({
      label: model.label,
      face: make('span', { class: 'word' }, '3D'),
      show: () => {
        const pane = modelPane(model);
        stage.replaceChildren(pane.element);
        endStage = pane.close;
      },
    });
  }
  const buttons = choices.map(({ label, face, show }, i) => {
    const made = make('button', { type: 'button', class: 'choice', 'aria-pressed': 'false' });
    made.append(make('span', { class: 'face' }, face), make('span', { class: 'called' }, label));
    made.addEventListener('click', () => choose(i, show));
    return made;
  });
  const choose = (i: number, show: () => void) => {
    closeLook();
    buttons.forEach((b, k) => {
      b.setAttribute('aria-pressed', String(k === i));
    });
    show();
  };
  if (choices.length > 0 && shots.length > 0) choose(0, choices[0].show);
  const row = make('div', { class: 'choices', role: 'group', 'aria-label': say('pictures') }, ...buttons);
  return make('div', { class: 'pictures' }, stage, choices.length > 1 ? row : undefined);
}

function shotOnStage(item: ItemDetail, shot: DetailShot): Node[] {
  const caption = make(
    'figcaption',
    {},
    `${shotName(shot, item)}. ${say('largerThanLife', { size: trueSize(item) })}`,
  );
  if (shot.turn) return [make('figure', {}, ...turner(item, shot, SIZES), caption)];
  const frames = framesShown(shot);
  const link = make('a', { class: 'tile' });
  const show = (frame: string) => {
    link.setAttribute('href', address(largest(shot, frame)?.file ?? ''));
    link.replaceChildren(picture(item, shot, SIZES, frame));
  };
  show(frames[0]);
  return [make('figure', {}, link, frames.length > 1 ? frameChoice(frames, show) : undefined, caption)];
}

/** The whole picture and the frames cut out of it, by the names that the maker gave. */
function frameChoice(frames: readonly string[], show: (frame: string) => void): HTMLElement {
  const buttons = frames.map((frame, i) =>
    button(
      frame === '' ? say('wholePicture') : frame,
      () => {
        show(frame);
        buttons.forEach((b, k) => {
          b.setAttribute('aria-pressed', String(k === i));
        });
      },
      { 'aria-pressed': String(i === 0) },
    ),
  );
  return make('div', { class: 'frames', role: 'group', 'aria-label': say('frames') }, ...buttons);
}

function modelsOf(item: ItemDetail, items: LookPlace['items']): (ModelOfBand & { label: string })[] {
  const seen = new Set<string>();
  return item.bands.flatMap((band, i) => {
    if (!band.model || seen.has(band.model.file + band.model.variant)) return [];
    seen.add(band.model.file + band.model.variant);
    const label = item.bands.length > 1 ? `3D, ${say(i === 0 ? 'firstBand' : 'secondBand')}` : say('model');
    return [{ ...band.model, names: colourwayNames(items.get(item.sku), i, items), label }];
  });
}

/** A colourway is called by the axes on which the variants of its shape differ. */
function colourwayNames(
  item: PageItem | undefined,
  band: number,
  items: LookPlace['items'],
): Map<string, string> {
  const names = new Map<string, string>();
  if (!item) return names;
  const alike = siblings(item.shapes[band], items);
  for (const other of alike)
    if (other.colourway) names.set(other.colourway, namesApart(other, alike) || other.title);
  return names;
}

function siblings(shape: number, items: LookPlace['items']): PageItem[] {
  return [...items.values()].filter((i) => i.kind === 'variant' && i.shapes[0] === shape);
}

function namesApart(item: PageItem, alike: readonly PageItem[]): string {
  const own = item.axes[0] ?? {};
  const differing = Object.keys(own).filter((axis) => alike.some((i) => i.axes[0]?.[axis] !== own[axis]));
  return differing.map((axis) => own[axis]).join(', ');
}

function facts(item: ItemDetail, { items }: LookPlace, events: LookEvents): HTMLElement {
  const column = make(
    'div',
    { class: 'facts' },
    make('h2', { id: 'look-title', tabindex: -1 }, item.title),
    make('p', { class: 'sku' }, item.sku),
  );
  const price = totalPrice(item.bands);
  if (price) column.append(make('p', { class: 'price' }, `${say('price')}: ${priceText(price)}`));
  if (item.bands.some((b) => b.held)) column.append(make('p', { class: 'held' }, say('heldBack')));
  const several = item.bands.length > 1;
  item.bands.forEach((band, i) => {
    if (several) column.append(make('h3', { class: 'band' }, bandHeading(band, i)));
    column.append(...factTables(band, several ? 'h4' : 'h3'), ...benchChecks(band, several ? 'h4' : 'h3'));
  });
  column.append(...roomLinks(item), ...downloads(item), ...otherColourways(item, items, events));
  const noise = shownShots(item).map((s) =>
    say('noiseOf', {
      shot: shotName(s, item),
      share: figure(100 * s.noise.reached, 1),
      n: s.noise.passes,
    }),
  );
  column.append(
    make(
      'ul',
      { class: 'notes' },
      ...item.cautions.map((c) => make('li', {}, c)),
      make('li', {}, say('renderings')),
      make('li', {}, `${say('noise')}: ${noise.join('; ')}.`),
    ),
  );
  return column;
}

function otherColourways(item: ItemDetail, items: LookPlace['items'], events: LookEvents): HTMLElement[] {
  const own = items.get(item.sku);
  if (!own || item.kind !== 'variant') return [];
  const alike = siblings(own.shapes[0], items);
  if (alike.length < 2) return [];
  const links = alike.map((other) => {
    const link = make('a', { href: events.hrefOf(other.sku) });
    if (other.thumbnail)
      link.append(make('img', { src: address(other.thumbnail.file), alt: '', loading: 'lazy' }));
    link.append(make('span', {}, namesApart(other, alike) || other.title));
    if (other.sku === item.sku) link.setAttribute('aria-current', 'true');
    link.addEventListener('click', (event) => {
      if (event.metaKey || event.ctrlKey || event.shiftKey) return;
      event.preventDefault();
      events.go(other.sku);
    });
    return make('li', {}, link);
  });
  return [make('h3', { class: 'group' }, say('colourways')), make('ul', { class: 'colourways' }, ...links)];
}
