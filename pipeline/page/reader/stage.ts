/** The large view's pictures: one on a stage, a row to choose from. */

import { address } from './amounts.ts';
import { button, grow, make } from './element.ts';
import { bandPlace, trueSize } from './facts.ts';
import { filmsOf } from './film.ts';
import { type ModelOfBand, modelPane } from './model-pane.ts';
import type { DetailShot, ItemDetail, PageItem } from './page-data.ts';
import { framesShown, largest, picture, shotName, shownShots, smallest } from './pictures.ts';
import { say } from './say.ts';
import { turner } from './turner.ts';
import { zoomable } from './zoom.ts';

const SIZES = '(min-width: 60rem) 58vw, 100vw';

/** Ends what the stage shows: a model gives its graphics memory back. */
let endStage = () => {};
/** What was looked at last, to be shown of the next choice too. */
let lookedAt = '';

export function closeStage(): void {
  endStage();
  endStage = () => {};
}

interface Scene {
  label: string;
  face: Node | string;
  show: () => void;
}

export function pictures(item: ItemDetail, items: ReadonlyMap<string, PageItem>): HTMLElement {
  const stage = make('div', { class: 'stage' });
  const scenes = [...shots(item, stage), ...films(item, stage), ...models(item, items, stage)];
  const buttons = scenes.map(({ label, face, show }, i) => {
    const made = make('button', { type: 'button', class: 'choice', 'aria-pressed': 'false' });
    made.append(make('span', { class: 'face' }, face), make('span', { class: 'called' }, label));
    made.addEventListener('click', () => {
      lookedAt = label;
      choose(i, show);
    });
    return made;
  });
  const choose = (i: number, show: () => void) => {
    closeStage();
    buttons.forEach((b, k) => {
      b.setAttribute('aria-pressed', String(k === i));
    });
    show();
  };
  const first = Math.max(
    0,
    scenes.findIndex(({ label }) => label === lookedAt),
  );
  if (scenes.length > 0 && shownShots(item).length > 0) choose(first, scenes[first].show);
  const row = make('div', { class: 'choices', role: 'group', 'aria-label': say('pictures') }, ...buttons);
  return make('div', { class: 'pictures' }, stage, scenes.length > 1 ? row : undefined);
}

function shots(item: ItemDetail, stage: HTMLElement): Scene[] {
  return shownShots(item).map((shot) => {
    const small = smallest(shot);
    return {
      label: shotName(shot, item),
      face: small
        ? make('img', { src: address(small.file, small.v), alt: '', loading: 'lazy' })
        : shotName(shot, item),
      show: () => stage.replaceChildren(...shotOnStage(item, shot)),
    };
  });
}

function shotOnStage(item: ItemDetail, shot: DetailShot): Node[] {
  const caption = make(
    'figcaption',
    {},
    `${shotName(shot, item)}. ${say('largerThanLife', { size: trueSize(item) })}`,
  );
  if (shot.turn) return [make('figure', {}, ...turner(item, shot, SIZES), caption)];
  const frames = framesShown(shot);
  const place = make('div');
  const show = (frame: string) => {
    place.replaceChildren(zoomable(picture(item, shot, SIZES, frame), largest(shot, frame)!));
  };
  show(frames[0]);
  return [make('figure', {}, place, frames.length > 1 ? frameChoice(frames, show) : undefined, caption)];
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

function films(item: ItemDetail, stage: HTMLElement): Scene[] {
  return filmsOf(item.movies, document.documentElement.lang, address).map(({ label, title, picture }) => ({
    label,
    face: make('span', { class: 'word', 'aria-hidden': 'true' }, '▷'),
    show: () =>
      stage.replaceChildren(
        make('figure', {}, make('div', { class: 'tile' }, grow(picture)), make('figcaption', {}, title)),
      ),
  }));
}

function models(item: ItemDetail, items: ReadonlyMap<string, PageItem>, stage: HTMLElement): Scene[] {
  return modelsOf(item, items).map((model) => ({
    label: model.label,
    face: make('span', { class: 'word' }, '3D'),
    show: () => {
      const pane = modelPane(model);
      stage.replaceChildren(pane.element);
      endStage = pane.close;
    },
  }));
}

function modelsOf(
  item: ItemDetail,
  items: ReadonlyMap<string, PageItem>,
): (ModelOfBand & { label: string })[] {
  const seen = new Set<string>();
  return item.bands.flatMap((band, i) => {
    if (!band.model || seen.has(band.model.file + band.model.variant)) return [];
    seen.add(band.model.file + band.model.variant);
    const label = item.bands.length > 1 ? `3D, ${bandPlace(i)}` : say('model');
    return [{ ...band.model, names: colourwayNames(items.get(item.sku), i, items), label }];
  });
}

/** A colourway is called by the axes on which the variants of its shape differ. */
function colourwayNames(
  item: PageItem | undefined,
  band: number,
  items: ReadonlyMap<string, PageItem>,
): Map<string, string> {
  const names = new Map<string, string>();
  if (!item) return names;
  const alike = [...items.values()].filter((i) => i.kind === 'variant' && i.shapes[0] === item.shapes[band]);
  for (const other of alike)
    if (other.colourway) names.set(other.colourway, namesApart(other, alike) || other.title);
  return names;
}

function namesApart(item: PageItem, alike: readonly PageItem[]): string {
  const own = item.axes[0] ?? {};
  const differing = Object.keys(own).filter((axis) => alike.some((i) => i.axes[0]?.[axis] !== own[axis]));
  return differing.map((axis) => own[axis]).join(', ');
}
