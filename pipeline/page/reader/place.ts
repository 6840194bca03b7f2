/** Where a reader is in the catalogue, as the hash of the page's address: it can be kept, sent and gone back to. */
import type { View } from './products.ts';

export interface ReaderPlace {
  /** box name to the values ticked */
  ticked: Map<string, Set<string>>;
  find: string;
  order: string;
  view: View;
  /** favourites alone */
  liked: boolean;
  /** page of the grid, from 1 */
  page: number;
  /** SKU of the item looked at */
  item: string;
  /** SKUs laid out to compare, at most two */
  beside: string[];
  comparing: boolean;
  /** what the address names and the catalogue does not have */
  lost: string[];
}

/** Hashes of older pages were a SKU alone. */
export function readPlace(hash: string, known: (sku: string) => boolean): ReaderPlace {
  const text = hash.replace(/^#/, '');
  const place: ReaderPlace = {
    ticked: new Map(),
    find: '',
    order: '',
    view: 'designs',
    liked: false,
    page: 1,
    item: '',
    beside: [],
    comparing: false,
    lost: [],
  };
  const alone = unescaped(text);
  if (known(alone)) return { ...place, item: alone };
  // a SKU alone that is none any more
  if (alone !== '' && !/[=&]/.test(text)) return { ...place, lost: [alone] };
  for (const [name, value] of new URLSearchParams(text)) {
    if (name === 'find') place.find = value;
    else if (name === 'order') place.order = value;
    else if (name === 'page') place.page = Math.max(1, Math.floor(Number(value)) || 1);
    else if (name === 'view') place.view = value === 'looks' ? 'looks' : 'designs';
    else if (name === 'liked') place.liked = true;
    else if (name === 'item' && known(value)) place.item = value;
    else if (name === 'item') place.lost.push(value);
    else if (name === 'beside' || name === 'compare') {
      const skus = [...new Set(value.split(','))];
      place.lost.push(...skus.filter((sku) => sku !== '' && !known(sku)));
      place.beside = skus.filter(known).slice(0, 2);
      place.comparing = name === 'compare' && place.beside.length === 2;
    } else if (name === 'kind' || name.startsWith('axis ')) {
      place.ticked.set(name, (place.ticked.get(name) ?? new Set()).add(value));
    }
  }
  return place;
}

export function writePlace(place: ReaderPlace): string {
  const parts = new URLSearchParams();
  for (const [box, values] of place.ticked) for (const value of values) parts.append(box, value);
  if (place.find) parts.set('find', place.find);
  if (place.order) parts.set('order', place.order);
  if (place.view === 'looks') parts.set('view', place.view);
  if (place.liked) parts.set('liked', 'yes');
  if (place.page > 1) parts.set('page', String(place.page));
  if (place.beside.length > 0) parts.set(place.comparing ? 'compare' : 'beside', place.beside.join(','));
  if (place.item) parts.set('item', place.item);
  return parts.size > 0 ? `#${parts}` : '';
}

function unescaped(text: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    return text; // a lone % is no escape
  }
}

/** With one box more or less than before. */
export function tickedAnew(
  before: ReaderPlace['ticked'],
  box: string,
  value: string,
  on: boolean,
): ReaderPlace['ticked'] {
  const ticked = new Map([...before].map(([name, values]) => [name, new Set(values)]));
  const values = ticked.get(box) ?? new Set<string>();
  if (on) values.add(value);
  else values.delete(value);
  if (values.size > 0) ticked.set(box, values);
  else ticked.delete(box);
  return ticked;
}
