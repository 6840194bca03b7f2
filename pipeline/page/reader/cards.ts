/** A card of the grid: what it shows of a product and what of it is chosen there. For the writer and the script alike. */

import { address, grams } from './amounts.ts';
import type { PageIndex, PageItem } from './page-data.ts';
import { pickers } from './pickers.ts';
import { priceText, say } from './say.ts';
import { type Tree, tree } from './tree.ts';

/** How wide a card's picture will stand, as of the HTML attribute. */
const SIZES = '(min-width: 60rem) 30vw, (min-width: 34rem) 45vw, 48vw';

/** The page of one item, to be read without script and to be sent to others. */
export const itemPage = (sku: string) => `products/${sku}.html`;

export function card(
  item: PageItem,
  group: readonly PageItem[],
  index: Pick<PageIndex, 'axes' | 'metals' | 'currency'>,
): Tree {
  return tree(
    'li',
    { 'data-sku': item.sku },
    tree(
      'a',
      { href: address(itemPage(item.sku)) },
      tree('span', { class: 'tile' }, face(item)),
      tree('span', { class: 'name' }, item.title),
      ...item.lines.map((line) => tree('span', { class: 'line' }, line)),
      tree('span', { class: 'line' }, `${say('allMetal')} ${grams(item.massG)}`),
      tree('span', { class: 'cost' }, cost(item, index.currency)),
    ),
    tree('div', { class: 'picks' }, ...pickers(group, item, index, 'card')),
    tree(
      'div',
      { class: 'acts' },
      tree(
        'button',
        { type: 'button', class: 'lay', 'aria-label': `${say('compare')}: ${item.title}, ${item.sku}` },
        say('compare'),
      ),
      tree(
        'button',
        {
          type: 'button',
          class: 'like',
          'aria-pressed': 'false',
          'aria-label': `${say('favourite')}: ${item.title}, ${item.sku}`,
        },
        '♡',
      ),
    ),
  );
}

function face({ faces, stamps, alt }: PageItem): Tree | undefined {
  const large = faces.at(-1);
  if (!large) return undefined;
  return tree('img', {
    src: address(faces[0].file, stamps[0]),
    srcset: faces.map((f, i) => `${address(f.file, stamps[i])} ${f.width}w`).join(', '),
    sizes: SIZES,
    width: large.width,
    height: large.height,
    loading: 'lazy',
    alt,
  });
}

/** The price, or that there is none to be had yet; nothing where the workshop tells no prices. */
export function cost({ held, price }: PageItem, currency: string | undefined): string {
  if (held) return say('heldBack');
  return price !== undefined && currency ? priceText({ total: price, currency }) : '';
}
