/**
 * One order of an orders file changed, added or removed as text: all other characters stay, with separator, quotes, line
 * ends and byte order mark. What comes of it is read again, and given only if it says what was wanted.
 */
import { isDeepStrictEqual } from 'node:util';
import type { Problem, Result } from '../problem.ts';
import { delimiterOf, type OrderRecord, readOrderFile } from './order-file.ts';

export interface OrderChange {
  /** on which the order begins, counted from 1; absent for a new one */
  line?: number;
  /** by column; columns that aren't named stay as they are. Absent where the order goes */
  cells?: Readonly<Record<string, string>>;
}

/** What a new file's first line names, whatever its first order says. */
const FIRST_COLUMNS = ['order', 'names', 'sku'];
const MARK = '\ufeff';

/** @param text of the file with its byte order mark, if it has one; empty for a new file. @returns the line of the order, too */
export function editOrders(
  text: string,
  file: string,
  change: OrderChange,
): Result<{ text: string; line: number }> {
  const said = filled(change.cells ?? {});
  const before = text.trim() === '' || text === MARK ? headed(said) : text;
  const reading = readOrderFile(Buffer.from(before), file);
  if ('fault' in reading)
    return refuse(file, reading.line, 'a CSV file of orders', reading.fault, reading.advice);
  const at = reading.records.findIndex(({ line }) => line === change.line);
  if (change.line !== undefined && at < 0)
    return refuse(file, change.line, 'an order', 'none', 'Look at the table again.');
  const risky = Object.entries(said).find(
    ([column, value]) => /^[=+@\t-]/.test(value) && value !== reading.records[at]?.cells[column],
  );
  if (risky)
    return refuse(
      file,
      change.line ?? 1,
      `a text in "${risky[0]}" that no spreadsheet takes for a formula`,
      `one that begins with ${JSON.stringify(risky[1][0])}`,
      'Begin it with another character.',
    );
  const edited = written(before, reading.header, change);
  const wanted = reading.records.map(({ cells }) => filled(cells));
  if (!change.cells) wanted.splice(at, 1);
  else if (at < 0) wanted.push(said);
  else wanted[at] = filled({ ...reading.records[at].cells, ...change.cells });
  const after = readOrderFile(Buffer.from(edited), file);
  if (
    'fault' in after ||
    !isDeepStrictEqual(
      after.records.map(({ cells }) => filled(cells)),
      wanted,
    )
  )
    return refuse(
      file,
      change.line ?? 1,
      'a line that can be changed by itself',
      'one in a form that is not understood here',
      'Change it in a spreadsheet.',
    );
  return { text: edited, line: lineOf(after.records, change, at) };
}

function lineOf(records: readonly OrderRecord[], { cells }: OrderChange, at: number): number {
  if (!cells) return 1;
  return (at < 0 ? records.at(-1) : records[at])?.line ?? 1;
}

function refuse(
  file: string,
  line: number,
  expected: string,
  received: string,
  advice: string,
): { problems: Problem[] } {
  const place = { file, line, column: 1 };
  return {
    problems: [{ code: 'cannot-edit', severity: 'error', path: 'orders', expected, received, advice, place }],
  };
}

/** Without empty cells; ends are trimmed and line ends are one character, as they are when the file is read. */
function filled(cells: Readonly<Record<string, string>>): Record<string, string> {
  return Object.fromEntries(
    Object.entries(cells).flatMap(([column, value]) => {
      const text = value.replace(/\r\n?/g, '\n').trim();
      return text === '' ? [] : [[column, text]];
    }),
  );
}

function headed(cells: Readonly<Record<string, string>>): string {
  return `${[...new Set([...FIRST_COLUMNS, ...Object.keys(cells)])].join(',')}\n`;
}

/** Where a record stands in the text, without its line end. */
interface Span {
  line: number;
  from: number;
  to: number;
  cells: { from: number; to: number }[];
}

/** Records that are no empty lines, the header first. */
function spansOf(text: string, delimiter: string): Span[] {
  const spans: Span[] = [];
  let [line, from, cell, quoted] = [1, text.startsWith(MARK) ? 1 : 0, 0, false];
  let begun = line;
  let cells: Span['cells'] = [];
  cell = from;
  for (let i = from; i <= text.length; i++) {
    const c = text[i];
    const ends = c === undefined || c === '\n' || (c === '\r' && text[i + 1] !== '\n');
    const end = c === '\n' && text[i - 1] === '\r' ? i - 1 : i;
    if (c === '"') quoted = !quoted;
    if (!quoted && (ends || c === delimiter)) {
      cells.push({ from: cell, to: Math.max(cell, end) });
      cell = i + 1;
    }
    if (ends) line++;
    if (!ends || quoted) continue;
    if (text.slice(from, end).trim() !== '') spans.push({ line: begun, from, to: end, cells });
    [from, begun, cells] = [i + 1, line, []];
  }
  return spans;
}

function written(text: string, header: readonly string[], { line, cells }: OrderChange): string {
  const delimiter = delimiterOf(text);
  const [head, ...rest] = spansOf(text, delimiter);
  const changed = rest.find((span) => span.line === line);
  const end = text.includes('\r\n') ? '\r\n' : '\n';
  if (!cells)
    return changed ? text.slice(0, changed.from) + text.slice(changed.to).replace(/^\r?\n?/, '') : text;
  const added = Object.keys(filled(cells)).filter((column) => !header.includes(column));
  const columns = [...header, ...added];
  const open = delimiter.repeat(added.length);
  const record = (span?: Span) =>
    columns
      .map((column, i) => {
        const own = span?.cells[i];
        const there = own ? text.slice(own.from, own.to) : '';
        return column in cells ? cellOf(cells[column], there, delimiter, end) : there;
      })
      .join(delimiter);
  const pieces = [text.slice(0, head.to) + added.map((column) => delimiter + column).join('')];
  let at = head.to;
  for (const span of rest) {
    pieces.push(text.slice(at, span.from));
    pieces.push(span === changed ? record(span) : text.slice(span.from, span.to) + open);
    at = span.to;
  }
  const whole = pieces.join('') + text.slice(at);
  if (changed) return whole;
  return `${whole}${/[\r\n]$/.test(whole) ? '' : end}${record()}${end}`;
}

/** A cell as it was where it says the same, else in quotes only where it must be (RFC 4180). */
function cellOf(value: string, there: string, delimiter: string, end: string): string {
  const text = value.replace(/\r\n?/g, '\n').trim();
  const before = /^"(.*)"$/s.exec(there.trim());
  if (text === (before ? before[1].replaceAll('""', '"') : there.trim())) return there;
  const inFile = text.replaceAll('\n', end);
  return /["\n]/.test(text) || text.includes(delimiter) || /[,;\t]/.test(text)
    ? `"${inFile.replaceAll('"', '""')}"`
    : inFile;
}
