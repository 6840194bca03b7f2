/**
 * An orders file as records of text, each cell with its place. Comma, semicolon or tab (told from the header line),
 * quotes as in RFC 4180, UTF-8 with or without a byte order mark.
 */
import { CsvError, parse } from 'csv-parse/sync';
import type { Place } from '../problem.ts';

export const MOST_ORDER_BYTES = 4 * 1024 * 1024;
export const MOST_ORDERS = 5000;

export interface OrderRecord {
  /** where the record begins, counted from 1 */
  line: number;
  /** trimmed; columns that the file lacks are missing */
  cells: Record<string, string>;
  place(column: string): Place;
}

export type OrderFileReading =
  | { header: string[]; records: OrderRecord[]; headerPlace: Place }
  | { fault: string; advice: string; line: number };

/** Comma, semicolon or tab, told from the first line. */
export function delimiterOf(text: string): string {
  const first = text.split('\n', 1)[0];
  const counts = [',', ';', '\t'].map((d): [string, number] => [d, first.split(d).length]);
  return counts.sort((a, b) => b[1] - a[1])[0][0];
}

/** Column of the text at which field `index` of a record's raw text begins, and on which of its lines. */
function fieldStart(raw: string, index: number, delimiter: string): { line: number; column: number } {
  let quoted = false;
  let field = 0;
  let line = 0;
  let column = 1;
  for (const c of raw) {
    if (field === index) break;
    if (c === '"') quoted = !quoted;
    else if (c === delimiter && !quoted) field++;
    if (c === '\n') {
      line++;
      column = 1;
    } else column++;
  }
  return { line, column };
}

export function readOrderFile(bytes: Uint8Array, file: string): OrderFileReading {
  let text: string;
  try {
    text = new TextDecoder('utf-8', { fatal: true }).decode(bytes).replace(/\r\n?/g, '\n');
  } catch {
    return { fault: 'text that is not UTF-8', advice: 'Save it as CSV in UTF-8.', line: 1 };
  }
  const delimiter = delimiterOf(text);
  let rows: { record: string[]; raw: string }[];
  try {
    rows = parse(text, {
      delimiter,
      record_delimiter: '\n',
      raw: true,
      skip_empty_lines: true,
      trim: true,
      max_record_size: 64 * 1024,
    }) as unknown as typeof rows;
  } catch (error) {
    // the library's message may quote a cell, and cells may be personal: only its code is passed on
    const code = error instanceof CsvError ? error.code : 'unreadable';
    const line = error instanceof CsvError && typeof error.lines === 'number' ? error.lines : 1;
    const advice =
      'Check quotes and the number of cells in that line: every line needs as many as the header.';
    return { fault: `a line that is no CSV (${code})`, advice, line };
  }
  if (rows.length === 0)
    return { fault: 'an empty file', advice: 'Its first line names the columns.', line: 1 };
  const [{ record: names }, ...rest] = rows;
  const header = names.map((n) => n.toLowerCase());
  let read = text.indexOf('\n');
  let before = 1;
  const records = rest
    .map(({ record, raw }): OrderRecord => {
      const own = raw.replace(/^\n+/, '').replace(/\n+$/, '');
      const start = text.indexOf(own, read);
      const line = before + text.slice(read, start).split('\n').length - 1;
      before = line + own.split('\n').length - 1;
      read = start + own.length;
      return {
        line,
        cells: Object.fromEntries(header.map((name, i) => [name, record[i] ?? ''])),
        place: (column) => {
          const at = fieldStart(own, Math.max(0, header.indexOf(column)), delimiter);
          return { file, line: line + at.line, column: at.column };
        },
      };
    })
    .filter(({ cells }) => Object.values(cells).some((cell) => cell !== ''));
  return { header, records, headerPlace: { file, line: 1, column: 1 } };
}
