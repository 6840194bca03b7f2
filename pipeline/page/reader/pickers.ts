/** What is chosen of a product: chips by axis, or a list where there are many values. */

import type { PageIndex, PageItem } from './page-data.ts';
import { choicesOf, moved, near } from './products.ts';
import { axisName, say } from './say.ts';
import { type Tree, tree } from './tree.ts';

/** More values than this are a list to open. */
const MOST_CHIPS = { card: 6, item: 24 };

export function pickers(
  group: readonly PageItem[],
  chosen: PageItem,
  { axes, metals }: Pick<PageIndex, 'axes' | 'metals'>,
  place: keyof typeof MOST_CHIPS,
): Tree[] {
  return choicesOf(group, axes).map(({ axis, values }) => {
    const own = chosen.axes[0]?.[axis];
    const called = axisName(axis);
    if (values.length > MOST_CHIPS[place])
      return tree(
        'label',
        { class: 'pick' },
        tree('span', { class: 'called' }, called),
        tree(
          'select',
          { 'data-axis': axis, autocomplete: 'off' },
          ...values.map((v) => tree('option', { value: v, selected: v === own ? '' : undefined }, v)),
        ),
      );
    const chips = values.map((value) => {
      const to = moved(group, chosen, axis, value);
      const far = to !== undefined && !near(chosen, to, axis);
      return tree(
        'button',
        {
          type: 'button',
          class: far ? 'chip far' : 'chip',
          'data-axis': axis,
          'data-value': value,
          'aria-pressed': String(value === own),
          title: far ? say('changesMore', { what: changes(chosen, to, axis) }) : undefined,
        },
        axis === 'metal' && metals[value] ? colourDot(metals[value]) : undefined,
        tree('span', {}, value),
      );
    });
    return tree(
      'div',
      { class: 'pick', role: 'group', 'aria-label': called },
      tree('span', { class: 'called', 'aria-hidden': 'true' }, called),
      tree('div', { class: 'chips' }, ...chips),
    );
  });
}

/** What else will be other, by the values that it will have. */
function changes(from: PageItem, to: PageItem, axis: string): string {
  const own = from.axes[0] ?? {};
  return Object.entries(to.axes[0] ?? {})
    .filter(([name, label]) => name !== axis && own[name] !== label)
    .map(([, label]) => label)
    .join(', ');
}

/** The colours of a band's alloys side by side, the first two of them. */
export function colourDot(colours: readonly string[]): Tree {
  const [left, right = left] = colours;
  const half = (fill: string, sweep: 0 | 1) => tree('path', { d: `M8 1a7 7 0 0 ${sweep} 0 14z`, fill });
  return tree(
    'svg',
    { class: 'dot', viewBox: '0 0 16 16', 'aria-hidden': 'true' },
    half(left, 0),
    half(right, 1),
    tree('circle', { cx: 8, cy: 8, r: 7, fill: 'none', stroke: '#8b8276' }),
  );
}
