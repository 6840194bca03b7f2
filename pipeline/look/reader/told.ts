import { make } from '../../page/reader/element.ts';
import { benchCheckList, factTables } from '../../page/reader/facts.ts';
import { priceText, say } from '../../page/reader/say.ts';
import type { AskedEdit, LookBand } from '../contract.ts';
import { type DrawingView, mountDrawing } from './drawing.ts';
import { type FieldsView, mountFields } from './fields.ts';
import { word } from './page-words.ts';

/** A change of a band by hand. */
export type Ask = (sku: string, change: AskedEdit) => void;

interface Below {
  section: HTMLElement;
  drawing: DrawingView;
  fields: FieldsView;
  told: HTMLElement;
}

/**
 * What is told of each band: section and figures beside the picture, what needs width below it. Drawing and fields stay
 * from edit to edit, so that a handle that is being moved keeps the focus.
 */
export class Told {
  readonly beside = make('div', { class: 'told beside' });
  readonly below = make('div', { class: 'told below' });
  private readonly ask: Ask;
  private bands: readonly LookBand[] = [];
  private places: Below[] = [];

  constructor(ask: Ask) {
    this.ask = ask;
  }

  show(bands: readonly LookBand[], readOnly: boolean): void {
    const same = bands.map((b) => b.sku).join() === this.bands.map((b) => b.sku).join();
    this.bands = bands;
    this.beside.replaceChildren(...bands.map(besideOf));
    if (!same) {
      this.places = bands.map(({ sku }) => this.place(sku));
      this.below.replaceChildren(...this.places.map(({ section }) => section));
    }
    bands.forEach((band, i) => {
      const { section, drawing, fields, told } = this.places[i];
      section.setAttribute('aria-label', nameOf(band));
      drawing.show(band.drawing, readOnly);
      fields.show(band.fields, readOnly);
      told.replaceChildren(...lastOf(band));
    });
  }

  private place(sku: string): Below {
    const [drawn, shaped, told] = ['drawn', 'shaped', 'last'].map((name) => make('div', { class: name }));
    const ask = (change: AskedEdit) => this.ask(sku, change);
    const section = make(
      'section',
      { class: 'band' },
      make('h3', { class: 'group' }, word('unrolled')),
      drawn,
      make('h3', { class: 'group' }, word('measures')),
      shaped,
      told,
    );
    return { section, drawing: mountDrawing(drawn, ask), fields: mountFields(shaped, ask), told };
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

function lastOf({ facts, cautions }: LookBand): HTMLElement[] {
  return [
    make('div', { class: 'bench' }, ...benchCheckList(facts, 'h3')),
    make(
      'div',
      { class: 'cautions' },
      make('h3', { class: 'group' }, word('cautions')),
      make('ul', {}, ...[word('notAMaker'), ...cautions].map((text) => make('li', {}, text))),
    ),
  ];
}

/** A drawing as it was written for the bench; `name` is what it is called. */
function drawing(svg: string, name: string): Element {
  const { documentElement } = new DOMParser().parseFromString(svg, 'image/svg+xml');
  const drawn = document.importNode(documentElement, true);
  drawn.setAttribute('role', 'img');
  drawn.setAttribute('aria-label', name);
  return make('div', { class: 'sheet' }, drawn);
}
