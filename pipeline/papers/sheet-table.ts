/** What the parts of a bench sheet are written with. */
import { escapeHtml } from '../words/html.ts';
import type { Locale } from '../words/locale.ts';

export type SheetRow = readonly [name: string, value: string];

/** A line each; nothing for none. */
export function sheetTable(rows: readonly SheetRow[]): string {
  if (rows.length === 0) return '';
  const cells = rows.map(
    ([name, value]) => `<tr><th>${escapeHtml(name)}</th><td>${escapeHtml(value)}</td></tr>`,
  );
  return `<table>${cells.join('')}</table>`;
}

/** Its diameter, or length by width. */
export function stoneSize(
  { lengthMm, diameterMm }: { lengthMm?: number; diameterMm: number },
  { messages, number }: Locale,
): string {
  const across = number(diameterMm, 0, 3);
  return lengthMm === undefined ? `Ø ${across}` : messages.wording.by(number(lengthMm, 0, 3), across);
}
