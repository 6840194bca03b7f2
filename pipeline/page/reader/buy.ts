/** What a reader may do with a choice: ask for it or buy it, keep it, send it to somebody, print it. */
import { address } from './amounts.ts';
import { itemPage } from './cards.ts';
import { button, make } from './element.ts';
import { showLiked } from './grid.ts';
import type { PageStart } from './page-data.ts';
import { say } from './say.ts';

type Shop = PageStart['shop'];

interface Choice {
  sku: string;
  title: string;
  /** address of this very choice */
  link: string;
}

/**
 * Where a choice is asked for, by the maker's pattern. A plain address of mail gets a subject and a text that name the choice.
 */
export function enquiryAddress(pattern: string, { sku, title, link }: Choice): string {
  const whole =
    /^mailto:[^?]*$/i.test(pattern) && !/\{(sku|title|link)\}/.test(pattern)
      ? `${pattern}?subject={title} ({sku})&body=${encodeURIComponent(say('enquiryText'))}%0D%0A%0D%0A{title}%0D%0A{sku}%0D%0A{link}%0D%0A`
      : pattern;
  const values: Record<string, string> = { sku, title, link };
  return whole
    .replace(/\{(sku|title|link)\}/g, (_, name: string) => encodeURIComponent(values[name]))
    .replaceAll(' ', '%20');
}

/** Pages of a shop take the SKU alone. */
export const shopAddress = (pattern: string, sku: string) =>
  pattern.replaceAll('{sku}', encodeURIComponent(sku));

/** Of this choice on this page; from a disk, which nobody else can open, of its page at the catalogue's own place. */
export function linkOf(sku: string, shop: Shop): string {
  if (location.protocol === 'file:' && shop?.baseUrl)
    return `${shop.baseUrl.replace(/\/+$/, '')}/${address(itemPage(sku))}`;
  return `${location.href.split('#')[0]}#${new URLSearchParams({ item: sku })}`;
}

export function acts(
  { sku, title }: { sku: string; title: string },
  { held, shop, liked, like }: { held: boolean; shop: Shop; liked: boolean; like: (sku: string) => void },
): HTMLElement {
  const said = make('span', { role: 'status', class: 'said' });
  const link = linkOf(sku, shop);
  const row = make('div', { class: 'acts' });
  if (!held && shop?.page)
    row.append(make('a', { class: 'main', href: shopAddress(shop.page, sku) }, say('toTheShop')));
  if (!held && shop?.enquire)
    row.append(
      make('a', { class: 'main', href: enquiryAddress(shop.enquire, { sku, title, link }) }, say('enquire')),
    );
  const heart = button('', () => like(sku), { class: 'like', 'aria-label': say('favourite') });
  showLiked(heart, liked);
  row.append(
    heart,
    button(say('copyLink'), () => copy(link, said), { class: 'plain' }),
    button(say('print'), () => window.print(), { class: 'plain' }),
    said,
  );
  return row;
}

/** Where a browser gives no clipboard, as to pages from disk, the address is laid out to be copied. */
async function copy(link: string, said: HTMLElement): Promise<void> {
  try {
    await navigator.clipboard.writeText(link);
    said.textContent = say('copied');
  } catch {
    const field = make('input', { type: 'text', readonly: '', value: link, 'aria-label': say('copyLink') });
    said.replaceChildren(field);
    field.select();
  }
}
