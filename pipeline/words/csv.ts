export type CsvCell = string | number | undefined;

/**
 * One cell. Text that a spreadsheet would run as a formula gets a leading apostrophe (OWASP, CSV Injection: `=`, `+`, `-`,
 * `@`, tab, carriage return, line feed, and the full-width forms of the signs); numbers stay numbers.
 */
export function csvCell(value: CsvCell): string {
  if (value === undefined) return '';
  if (typeof value === 'number') return String(value);
  const safe = /^[=+\-@\t\r\n＝＋－＠]/.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}
