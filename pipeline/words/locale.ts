/** Numbers, measures, dates and money in the form of a language and a country (Intl, data of Unicode CLDR). */

import { type MarkedBy, type Market, markedBy } from '../trade/market.ts';
import { numberFormat } from '../trade/number-format.ts';
import type { Language } from '../trade/words.ts';
import { GERMAN } from './de.ts';
import { ENGLISH } from './en.ts';
import type { Messages } from './messages.ts';

const MESSAGES: Record<Language, Messages> = { en: ENGLISH, de: GERMAN };

export function messagesOf(language: Language): Messages {
  return MESSAGES[language];
}

/** What every reader of a catalogue is told, for their country. */
export function generalCautions(language: Language, market?: Market): string[] {
  const { cautions, marks } = MESSAGES[language];
  return [...cautions, marks[markedBy(market)]];
}

/** Words and figures of one reader. */
export interface Locale {
  /** BCP 47 */
  tag: string;
  language: Language;
  messages: Messages;
  /** who marks a ring's fineness in the reader's country */
  markedBy: MarkedBy;
  number(value: number, least: number, most?: number): string;
  mm(value: number): string;
  grams(value: number): string;
  carats(value: number): string;
  percent(share: number): string;
  /** @param date ISO 8601 */
  date(date: string): string;
  money(amount: number, currency: string): string;
}

/**
 * Countries whose own form of a language is used, the first one where none of them is the market: figures half in one
 * language's form and half in another's would mislead.
 */
const FORMS: Record<Language, readonly string[]> = {
  en: ['GB', 'US', 'CA', 'IE', 'AU', 'NZ'],
  de: ['DE', 'AT', 'CH', 'LI', 'LU', 'BE'],
};
const INCH = 25.4;

export function localeOf(language: Language, market?: Market): Locale {
  const [home] = FORMS[language];
  const country = market && FORMS[language].includes(market.country) ? market.country : home;
  const tag = `${language}-${country}`;
  const number = (value: number, least: number, most = least) => numberFormat(tag, least, most).format(value);
  return {
    tag,
    language,
    messages: MESSAGES[language],
    markedBy: markedBy(market),
    number,
    mm: (value) =>
      `${number(value, 0, 2)}\u00a0mm${market?.inches ? ` (${number(value / INCH, 3)}\u00a0in)` : ''}`,
    grams: (value) => `${number(value, 1)}\u00a0g`,
    carats: (value) => `${number(value, 2)}\u00a0ct`,
    percent: (share) =>
      new Intl.NumberFormat(tag, { style: 'percent', maximumFractionDigits: 2 }).format(share),
    date: (date) =>
      new Intl.DateTimeFormat(tag, { dateStyle: 'long', timeZone: 'UTC' }).format(
        new Date(`${date}T00:00:00Z`),
      ),
    money: (amount, currency) => new Intl.NumberFormat(tag, { style: 'currency', currency }).format(amount),
  };
}
