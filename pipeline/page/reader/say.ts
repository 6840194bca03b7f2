/** The page's words and figures in the catalogue's language; heard once, before anything is said. */
import type { PageMessages, PageNames } from '../../words/messages.ts';
import { PAGE_ENGLISH } from '../../words/page-en.ts';
import type { DetailBand, PageStart } from './page-data.ts';

export type PageKey = keyof PageMessages;
type Price = Pick<NonNullable<DetailBand['price']>, 'total' | 'currency'>;

let heard: { language: string; messages: PageMessages & Partial<PageNames>; inches?: boolean } = {
  language: 'en-GB',
  messages: PAGE_ENGLISH,
};

export function hear({
  language,
  messages,
  inches,
}: Pick<PageStart, 'language' | 'messages' | 'inches'>): void {
  heard = { language, messages, inches };
}

/** @param amounts what stands for the names in braces */
export function say(key: PageKey, amounts: Record<string, string | number> = {}): string {
  return heard.messages[key].replace(/\{(\w+)\}/g, (whole, name: string) => String(amounts[name] ?? whole));
}

export function figure(value: number, least: number, most = least): string {
  return new Intl.NumberFormat(heard.language, {
    minimumFractionDigits: least,
    maximumFractionDigits: most,
  }).format(value);
}

/** Whether lengths in inches stand beside the millimetres. */
export const readsInches = () => heard.inches === true;

export function priceText({ total, currency }: Price): string {
  return new Intl.NumberFormat(heard.language, { style: 'currency', currency }).format(total);
}

/** Names from the config are the maker's own, but these are also words of the program. */
export const axisName = (axis: string) => known(`axis ${axis}`) ?? axis;
export const ruleName = (rule: string) => known(`rule ${rule}`) ?? rule.replaceAll('-', ' ');
export const cutName = (cut: string) => known(`cut ${cut}`) ?? cut.replaceAll('-', ' ');

function known(key: string): string | undefined {
  return Object.hasOwn(heard.messages, key) ? heard.messages[key as keyof typeof heard.messages] : undefined;
}
