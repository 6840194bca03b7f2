/** What the page says: handed over as JSON, so all are plain texts with amounts in braces. */
import { hear } from '../../page/reader/say.ts';
import type { ShotName } from '../../plan/plan.ts';
import type { LookMessages, PageMessages, PageNames } from '../../words/messages.ts';

export interface PageWords {
  /** BCP 47, for figures */
  tag: string;
  look: LookMessages;
  /** of the catalogue's page, whose tables stand here too */
  page: PageMessages & PageNames;
  views: Record<ShotName, string>;
}

export const WORDS: PageWords = JSON.parse(document.getElementById('words')?.textContent ?? '{}');
hear({ language: WORDS.tag, messages: WORDS.page });

/** @param amounts what stands for the names in braces */
export function word(key: keyof LookMessages, amounts: Record<string, string | number> = {}): string {
  return WORDS.look[key].replace(/\{(\w+)\}/g, (whole, name: string) => String(amounts[name] ?? whole));
}

/** With two digits that count. */
export function percent(share: number): string {
  return new Intl.NumberFormat(WORDS.tag, { style: 'percent', maximumSignificantDigits: 2 }).format(share);
}
