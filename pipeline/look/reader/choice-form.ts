import { make } from '../../page/reader/element.ts';
import { axisName } from '../../page/reader/say.ts';
import type { LookState, ViewChoice } from '../contract.ts';
import { WORDS, word } from './page-words.ts';

/** Lists to choose from: a band by each of its axes, or a pair; a view; a light. */
export class ChoiceForm {
  readonly element = make('form', { class: 'choose', 'aria-label': word('choose') });
  private readonly onChoice: () => void;
  private state: LookState | undefined;
  private chosen: ViewChoice | undefined;

  constructor(first: ViewChoice | undefined, onChoice: () => void) {
    this.chosen = first;
    this.onChoice = onChoice;
    this.element.addEventListener('submit', (event) => event.preventDefault());
    this.element.addEventListener('change', () => this.read());
  }

  get choice(): ViewChoice | undefined {
    return this.chosen;
  }

  /** What can be chosen now; keeps what was, as far as it is still there. */
  offer(state: LookState): void {
    this.state = state;
    if (state.bands.length === 0) return;
    this.chosen = this.possible(this.chosen ?? { sku: '', shot: '' });
    this.build();
  }

  private possible({ sku, shot, studio }: ViewChoice): ViewChoice {
    const { bands, pairs, shots, studios } = this.state!;
    const pair = pairs.some((p) => p.sku === sku);
    const known = pair || bands.some((b) => b.sku === sku);
    const fitting = shots.filter((s) => (s.view === 'pair') === pair);
    return {
      sku: known ? sku : bands[0].sku,
      shot: (fitting.find((s) => s.name === shot) ?? fitting[0] ?? shots[0]).name,
      ...(studio && studios.includes(studio) ? { studio } : {}),
    };
  }

  private build(): void {
    const { state, chosen } = this;
    if (!state || !chosen) return;
    const { bands, pairs, shots, studios, axes } = state;
    const pair = pairs.some((p) => p.sku === chosen.sku);
    const band = bands.find((b) => b.sku === chosen.sku);
    const focused = document.activeElement instanceof HTMLSelectElement ? document.activeElement.name : '';
    const lists: HTMLElement[] = [];
    if (pairs.length > 0)
      lists.push(
        list(word('pair'), 'pair', pair ? chosen.sku : '', [
          ['', word('single')],
          ...pairs.map((p): [string, string] => [p.sku, p.sku]),
        ]),
      );
    for (const { name } of pair ? [] : axes) {
      const worn = [...new Set(bands.flatMap((b) => (b.axes[name] === undefined ? [] : [b.axes[name]])))];
      if (worn.length > 1)
        lists.push(
          list(
            axisName(name),
            `axis ${name}`,
            band?.axes[name] ?? '',
            worn.map((v) => [v, v]),
          ),
        );
    }
    const fitting = shots.filter((s) => (s.view === 'pair') === pair);
    const label = (s: LookState['shots'][number]) => {
      const named = s.name === s.view ? WORDS.views[s.view] : s.name;
      return s.own ? named : word('notInConfig', { name: named });
    };
    lists.push(
      list(
        word('shot'),
        'shot',
        chosen.shot,
        fitting.map((s) => [s.name, label(s)]),
      ),
    );
    const own = shots.find((s) => s.name === chosen.shot)?.lights ?? '';
    lists.push(
      list(
        word('light'),
        'light',
        chosen.studio ?? own,
        studios.map((s) => [s, s]),
      ),
    );
    this.element.replaceChildren(...lists);
    if (focused)
      this.element
        .querySelector<HTMLSelectElement>(`select[name="${CSS.escape(focused)}"]`)
        ?.focus({ preventScroll: true });
  }

  private read(): void {
    const { state, chosen } = this;
    if (!state || !chosen) return;
    const said = new FormData(this.element);
    const text = (name: string) => String(said.get(name) ?? '');
    const sku = text('pair') || this.band(said);
    const shot = text('shot');
    const own = state.shots.find((s) => s.name === shot)?.lights;
    const light = text('light');
    // the light stays another one than the shot's own only where it was chosen
    const other = light !== own && (chosen.studio !== undefined || shot === chosen.shot);
    this.chosen = this.possible({ sku, shot, ...(other ? { studio: light } : {}) });
    this.build();
    this.onChoice();
  }

  /** The band that agrees with all lists or, where there is none, with most of them, the one just changed first. */
  private band(said: FormData): string {
    const { bands, axes } = this.state!;
    const before = bands.find((b) => b.sku === this.chosen?.sku);
    const weight = (b: LookState['bands'][number]) =>
      axes.reduce((sum, { name }) => {
        const wanted = said.get(`axis ${name}`);
        if (wanted === null || b.axes[name] !== wanted) return sum;
        return sum + (before?.axes[name] === wanted ? 1 : 100);
      }, 0);
    return bands.reduce((best, b) => (weight(b) > weight(best) ? b : best), before ?? bands[0]).sku;
  }
}

function list(label: string, name: string, value: string, options: [string, string][]): HTMLElement {
  const select = make('select', { name });
  for (const [key, text] of options) {
    const option = make('option', { value: key }, text);
    option.selected = key === value;
    select.append(option);
  }
  return make('label', {}, make('span', {}, label), select);
}
