/** Cells of an orders file that are read by themselves: texts, dates, the language. Personal text is never quoted. */
import { LANGUAGES, type Language } from '../trade/words.ts';
import type { OrderRecord } from './order-file.ts';
import type { PlanCatalogue, PlanGrid, Variant } from './plan.ts';
import { characterNames, missingCharacters } from './typeface.ts';

/** Most characters of a cell. */
export const MOST = { order: 40, names: 120, engraving: 60, measured: 80, notes: 600 };

/** What orders choose from. */
export type Orderable = PlanGrid & Pick<PlanCatalogue, 'language'>;

export interface Reader {
  range: Orderable;
  bands: readonly Variant[];
  report(
    record: OrderRecord,
    column: string,
    code: string,
    expected: string,
    received: string,
    advice: string,
  ): void;
}

/** Personal text: its length and letters are checked, and it is never quoted. */
export function personalText(
  record: OrderRecord,
  column: string,
  most: number,
  r: Reader,
  lines = false,
): string | undefined {
  const value = record.cells[column];
  if (!value) return undefined;
  if (value.length > most)
    r.report(
      record,
      column,
      'text-too-long',
      `at most ${most} characters`,
      `${value.length} characters`,
      'Shorten it.',
    );
  if ((lines ? /[^\P{Cc}\n\t]/u : /\p{Cc}/u).test(value))
    r.report(record, column, 'wrong-value', 'plain text', 'control characters', 'Type the text anew.');
  const missing = missingCharacters(value.replace(/\p{Cc}/gu, ' '));
  if (missing.length > 0)
    r.report(
      record,
      column,
      'no-such-letters',
      'Latin, Greek, Cyrillic or Devanagari letters and common signs',
      `characters that the proofs' typeface does not have: ${characterNames(missing)}`,
      'Write it in one of those scripts, or leave it out and add it by hand.',
    );
  return value.normalize('NFC');
}

/** `2026-12-31`, or as German spreadsheets write it, `31.12.2026`. */
export function date(record: OrderRecord, column: string, r: Reader): string | undefined {
  const value = record.cells[column];
  if (!value) return undefined;
  const german = /^(\d{1,2})\.(\d{1,2})\.(\d{4})$/.exec(value);
  const iso = german ? `${german[3]}-${german[2].padStart(2, '0')}-${german[1].padStart(2, '0')}` : value;
  const time = /^\d{4}-\d{2}-\d{2}$/.test(iso) ? Date.parse(`${iso}T00:00:00Z`) : Number.NaN;
  if (!Number.isNaN(time) && new Date(time).toISOString().startsWith(iso)) return iso;
  r.report(
    record,
    column,
    'wrong-date',
    'a date such as "2026-12-31"',
    JSON.stringify(value.slice(0, 20)),
    'Write year, month and day with hyphens.',
  );
  return undefined;
}

export function languageOf(record: OrderRecord, r: Reader): Language {
  const value = record.cells.language?.toLowerCase();
  if (!value) return r.range.language;
  const found = LANGUAGES.find((l) => l === value);
  if (!found)
    r.report(
      record,
      'language',
      'unknown-name',
      `one of ${LANGUAGES.join(', ')}`,
      JSON.stringify(value.slice(0, 20)),
      'Use one of these, or leave the cell empty for the config’s language.',
    );
  return found ?? r.range.language;
}
