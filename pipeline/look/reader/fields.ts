/** The fields of a band as a form: one control each, grouped as in the template, with the place in the file beside it. */
import { make } from '../../page/reader/element.ts';
import type { AskedEdit, Field } from '../contract.ts';

export interface FieldsView {
  /** a control that is being typed into keeps its text */
  show(fields: readonly Field[], readOnly: boolean): void;
}

/** @param ask called when a control's value is done with */
export function mountFields(host: HTMLElement, ask: (change: AskedEdit) => void): FieldsView {
  const form = make('form', { class: 'fields', autocomplete: 'off' });
  form.addEventListener('submit', (event) => event.preventDefault());
  host.replaceChildren(form);
  let before: readonly Field[] = [];
  return {
    show(fields, readOnly) {
      const focused = document.activeElement;
      const held =
        focused instanceof HTMLElement && form.contains(focused) ? focused.dataset.field : undefined;
      const typed = held === undefined ? undefined : (focused as HTMLInputElement).value;
      const shown = before.find(({ id }) => id === held);
      const groups = [...new Set(fields.map(({ group }) => group))];
      form.replaceChildren(
        ...groups.map((group) =>
          make(
            'fieldset',
            readOnly ? { disabled: '' } : {},
            make('legend', {}, group),
            ...fields.filter((field) => field.group === group).map((field) => row(field, ask)),
          ),
        ),
      );
      before = fields;
      if (held === undefined) return;
      const again = form.querySelector<HTMLInputElement>(`[data-field="${CSS.escape(held)}"]`);
      again?.focus({ preventScroll: true });
      if (again && shown && typed !== undefined && typed !== valueIn(shown)) keepTyped(again, typed);
    },
  };
}

/** Puts back what was being typed. A browser tells no change of a value that a script has set: leaving it does then. */
function keepTyped(control: HTMLInputElement, typed: string): void {
  control.value = typed;
  let told = false;
  control.addEventListener('change', () => {
    told = true;
  });
  control.addEventListener('blur', () => {
    if (!told) control.dispatchEvent(new Event('change'));
  });
}

/** A measure that is a figure with its unit, as the number control takes it. */
function figureOf({ kind, text, unit, choices }: Field): string | undefined {
  if (kind === 'number') return choices || Number.isNaN(Number(text)) ? undefined : text;
  if (kind !== 'measure' || choices) return undefined;
  if (text === '') return unit === 'mm or %' ? undefined : '';
  const [, figure, written] = /^\s*([+-]?[\d.]+)\s*(mm|deg|°|%|px)?\s*$/.exec(text) ?? [];
  if (figure === undefined) return undefined;
  // a share may be written as a bare number up to 1
  if (unit === '%' && written === undefined) return String(Number((100 * Number(figure)).toFixed(4)));
  return unit === 'mm or %' ? undefined : figure;
}

const valueIn = (field: Field) => figureOf(field) ?? field.text;

function row(field: Field, ask: (change: AskedEdit) => void): HTMLElement {
  const { id, label, unit, origin, written, kind } = field;
  const own = `field-${id.replaceAll(/[^\w-]/g, '-')}`;
  const control = controlOf(field, own);
  control.dataset.field = id;
  control.setAttribute('aria-describedby', `${own}-note`);
  control.addEventListener('change', () => {
    const text =
      control instanceof HTMLInputElement && kind === 'flag' ? String(control.checked) : control.value;
    if (text !== '' && (kind === 'flag' || text !== valueIn(field))) ask({ kind: 'field', id, text });
  });
  const file = origin.file.split(/[/\\]/).at(-1) ?? '';
  const told = figureOf(field) === undefined ? undefined : unit;
  const limits = limitText(field);
  return make(
    'div',
    { class: written ? 'field' : 'field usual' },
    make('label', { for: own }, label),
    make(
      'span',
      { class: 'control' },
      control,
      told && make('span', { class: 'unit' }, told === 'deg' ? '°' : told),
    ),
    make('span', { class: 'note', id: `${own}-note` }, limits && `${limits}, `, `${file}:${origin.line}`),
  );
}

function limitText({ least, most, unit = '' }: Field): string | undefined {
  if (least === undefined || most === undefined) return undefined;
  const said = (limit: number) => String(limit).replace('-', '−');
  return `${said(least)} – ${said(most)}${unit === '' ? '' : ` ${unit === 'deg' ? '°' : unit}`}`;
}

function controlOf(field: Field, id: string): HTMLInputElement | HTMLSelectElement {
  const { kind, text, choices = [], least, most, step } = field;
  if (kind === 'choice') {
    const options = choices.map(({ value, label }) =>
      make('option', value === text ? { value, selected: '' } : { value }, label),
    );
    const none = text === '' ? [make('option', { value: '', selected: '' }, '–')] : [];
    return make('select', { id, name: field.id }, ...none, ...options);
  }
  if (kind === 'flag')
    return make('input', { id, name: field.id, type: 'checkbox', ...(text === 'true' && { checked: '' }) });
  const figure = figureOf(field);
  if (figure !== undefined)
    return make('input', {
      id,
      name: field.id,
      type: 'number',
      value: figure,
      // any figure may be typed: the step is that of the arrow keys, which `any` leaves at 1
      step: kind === 'number' ? 1 : (step ?? 'any'),
      ...(least !== undefined && { min: least }),
      ...(most !== undefined && { max: most }),
    });
  const input = make('input', { id, name: field.id, type: 'text', value: text, spellcheck: 'false' });
  if (choices.length > 0) input.setAttribute('placeholder', choices.map(({ value }) => value).join(', '));
  return input;
}
