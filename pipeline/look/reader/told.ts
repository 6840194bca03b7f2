import { make } from '../../page/reader/element.ts';
import { benchChecks, factTables } from '../../page/reader/facts.ts';
import type { LookBand } from '../contract.ts';
import { word } from './page-words.ts';

/** What is told beside a picture: section, the outside unrolled, facts, checks and cautions of each band. */
export class Told {
  readonly element = make('div', { class: 'told' });

  show(bands: readonly LookBand[]): void {
    this.element.replaceChildren(...bands.map((band) => told(band)));
  }
}

function told({ sku, facts, section, unrolled, cautions }: LookBand): HTMLElement {
  const heading = Object.values(facts.axes).join(', ') || sku;
  return make(
    'section',
    { class: 'band' },
    make('h2', {}, heading),
    make(
      'div',
      { class: 'unrolled' },
      make('h3', { class: 'group' }, word('unrolled')),
      drawing(unrolled, word('unrolled')),
    ),
    make(
      'div',
      { class: 'section' },
      make('h3', { class: 'group' }, word('section')),
      drawing(section, word('section')),
    ),
    make('div', { class: 'facts' }, ...factTables(facts, 'h3')),
    make('div', { class: 'bench' }, ...benchChecks(facts, 'h3')),
    make(
      'div',
      { class: 'cautions' },
      make('h3', { class: 'group' }, word('cautions')),
      make('ul', {}, ...[word('notAMaker'), ...cautions].map((text) => make('li', {}, text))),
    ),
  );
}

/** A drawing as it was written for the bench; `name` is what it is called. */
function drawing(svg: string, name: string): Element {
  const { documentElement } = new DOMParser().parseFromString(svg, 'image/svg+xml');
  const drawn = document.importNode(documentElement, true);
  drawn.setAttribute('role', 'img');
  drawn.setAttribute('aria-label', name);
  return make('div', { class: 'sheet' }, drawn);
}
