/** One order as a form: its cells, and which bands of the plan it is for. */
import { button, make } from '../../page/reader/element.ts';
import { axisName } from '../../page/reader/say.ts';
import type { Language } from '../../trade/words.ts';
import type { LookMessages } from '../../words/messages.ts';
import type { LookOrders } from '../contract.ts';
import { word } from './page-words.ts';

export type Cells = Record<string, string>;

/** Columns in which bands are named; the lists stand for them. */
const SKU_COLUMNS = ['sku', 'sku-1', 'sku-2'];
/** Columns that every order has a field for; any other that an order fills has one too. */
const ALWAYS = ['size', 'engraving', 'outside'].flatMap((column) => [`${column}-1`, `${column}-2`]);
const LAST = ['notes', 'issued', 'expires', 'delivery', 'language'];
const DATES = ['issued', 'expires', 'delivery'];
/** Each by its own name. */
const LANGUAGES: Record<Language, string> = { en: 'English', de: 'Deutsch' };

export interface OrderFormOptions {
  table: LookOrders;
  /** as they stand; of a new order those that are suggested */
  cells: Cells;
  isNew: boolean;
  /** with the cells that differ */
  onWrite(cells: Cells): void;
  onLeave(): void;
  onRemove(): void;
}

export function orderForm({ table, cells, isNew, ...on }: OrderFormOptions): HTMLFormElement {
  const bands = bandLists(table, cells, isNew);
  const given = table.columns.filter(
    (c) => cells[c] && !['order', 'names', ...SKU_COLUMNS, ...ALWAYS, ...LAST].includes(c),
  );
  const columns = ['order', 'names', ...given, ...ALWAYS, ...LAST];
  const controls = new Map(columns.map((column) => [column, controlOf(column, cells[column] ?? '')]));
  const field = (column: string) => labelled(labelOf(column), controls.get(column) as HTMLElement);
  const form = make(
    'form',
    { class: 'order', autocomplete: 'off', 'aria-label': word(isNew ? 'newOrder' : 'changeOrder') },
    field('order'),
    field('names'),
    ...bands.fields,
    ...columns.slice(2).map(field),
  );
  const said = (): Cells => ({
    ...Object.fromEntries([...controls].map(([column, control]) => [column, control.value])),
    ...bands.cells(),
  });
  form.append(
    make(
      'p',
      { class: 'ends' },
      make('button', { type: 'submit' }, word('writeOrder')),
      button(word('leaveOrder'), on.onLeave, { class: 'quiet' }),
      isNew ? undefined : button(word('removeOrder'), on.onRemove, { class: 'quiet' }),
    ),
  );
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    const before = isNew ? {} : cells;
    on.onWrite(Object.fromEntries(Object.entries(said()).filter(([c, v]) => v !== (before[c] ?? ''))));
  });
  return form;
}

type Control = HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement;

function controlOf(column: string, value: string): Control {
  if (column === 'notes') {
    const notes = make('textarea', { name: column, rows: 2 });
    notes.value = value;
    return notes;
  }
  if (column === 'language')
    return select(column, value, [['', word('asConfig')], ...Object.entries(LANGUAGES)]);
  // a German date that a spreadsheet wrote stays as it is
  const date = DATES.includes(column) && /^(\d{4}-\d{2}-\d{2})?$/.test(value);
  const input = make('input', { name: column, type: date ? 'date' : 'text', spellcheck: 'false' });
  input.value = value;
  if (column.startsWith('size-')) input.placeholder = word('sizeSet');
  if (column === 'order' || column === 'names') input.required = true;
  return input;
}

function labelOf(column: string): string {
  const [, name, n] = /^(.*)-([12])$/.exec(column) ?? [];
  const own = `cell ${name ?? column}`;
  if (isWord(own)) return word(own, n ? { n } : {});
  return `${axisName(name ?? column)}${n ? ` ${n}` : ''}`;
}

const isWord = (key: string): key is keyof LookMessages & `cell ${string}` =>
  ['order', 'names', 'size', 'engraving', 'outside', ...LAST].includes(key.slice('cell '.length));

/** A pair or band, and beside a band a second one. */
function bandLists({ pairs, bands }: LookOrders, cells: Cells, isNew: boolean) {
  const named = (list: typeof bands) =>
    list.map(({ sku, label }): [string, string] => [sku, `${label} · ${sku}`]);
  const written = known(cells.sku || cells['sku-1'] || '', [...pairs, ...bands]);
  const first = select('first', written, [
    ...(written ? [] : [['', word('bySku')] as [string, string]]),
    ...named(pairs),
    ...named(bands),
  ]);
  const second = select('second', known(cells['sku-2'] ?? '', bands), [
    ['', word('oneBand')],
    ...named(bands),
  ]);
  const settle = () => {
    second.disabled = !bands.some(({ sku }) => sku === first.value);
    if (second.disabled) second.value = '';
  };
  first.addEventListener('change', settle);
  settle();
  return {
    fields: [labelled(word('cell sku'), first), labelled(word('cell sku-2'), second)],
    cells: (): Cells => {
      // what is only suggested is still to be written
      const same = !isNew && first.value === written && second.value === (cells['sku-2'] ?? '');
      if (first.value === '' || same) return {};
      return second.value
        ? { sku: '', 'sku-1': first.value, 'sku-2': second.value }
        : { sku: first.value, 'sku-1': '', 'sku-2': '' };
    },
  };
}

/** As the plan spells it. */
const known = (sku: string, list: LookOrders['bands']) =>
  list.find((one) => one.sku.toLowerCase() === sku.toLowerCase())?.sku ?? '';

function select(name: string, value: string, options: [string, string][]): HTMLSelectElement {
  const list = make(
    'select',
    { name },
    ...options.map(([key, text]) => make('option', { value: key }, text)),
  );
  list.value = value;
  return list;
}

const labelled = (label: string, control: HTMLElement) => make('label', {}, make('span', {}, label), control);
