import { make } from '../../page/reader/element.ts';
import { benchChecks, factTables } from '../../page/reader/facts.ts';
import { priceText, say } from '../../page/reader/say.ts';
import type { LookBand } from '../contract.ts';
import { word } from './page-words.ts';

/** What is told of each band: section and figures beside the picture, what needs width below it. */
export class Told {
  readonly beside = make('div', { class: 'told beside' });
  readonly below = make('div', { class: 'told below' });

  show(bands: readonly LookBand[]): void {
    this.beside.replaceChildren(...bands.map(besideOf));
    this.below.replaceChildren(...bands.map(belowOf));
  }
}

const nameOf = ({ facts, sku }: LookBand) => Object.values(facts.axes).join(', ') || sku;

function besideOf(band: LookBand): HTMLElement {
  const { facts, section } = band;
  return make(
    'section',
    { class: 'band' },
    make('h2', {}, nameOf(band)),
    ...(facts.price ? [make('p', { class: 'price' }, `${say('price')} ${priceText(facts.price)}`)] : []),
    make('h3', { class: 'group' }, word('section')),
    drawing(section, `${word('section')}: ${nameOf(band)}`),
    ...factTables(facts, 'h3'),
  );
}

function belowOf(band: LookBand): HTMLElement {
  const { facts, unrolled, cautions } = band;
  return make(
    'section',
    { class: 'band', 'aria-label': nameOf(band) },
    make('h3', { class: 'group' }, word('unrolled')),
    drawing(unrolled, `${word('unrolled')}: ${nameOf(band)}`),
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
