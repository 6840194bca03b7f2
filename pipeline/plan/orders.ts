/**
 * Orders: which two bands a couple wants, and what their proof says besides. The bands must be in the plan; one that
 * isn't is an error that says what to add, since an order must never trace a shape that nobody asked the config for.
 *
 * Names, notes and engraving are personal: problems tell their length or place and never quote them.
 */
import path from 'node:path';
import type { OrderPlan } from './client-plan.ts';
import type { Findings } from './findings.ts';
import { chosenBands, orderableBands, TEXT_COLUMNS } from './order-bands.ts';
import { date, languageOf, MOST, type Orderable, personalText, type Reader } from './order-cells.ts';
import { MOST_ORDER_BYTES, MOST_ORDERS, type OrderRecord, readOrderFile } from './order-file.ts';
import type { CatalogueFiles } from './reading.ts';
import { adviseName } from './suggestion.ts';

/** @returns the orders of the file; problems go to `findings`, each at its line and column */
export async function readOrders(
  written: string,
  folder: string,
  range: Orderable,
  files: CatalogueFiles,
  findings: Findings,
): Promise<OrderPlan[]> {
  const file = path.resolve(folder, written);
  const refuse = (expected: string, received: string, advice: string, line?: number) => {
    const place = line === undefined ? undefined : { file, line, column: 1 };
    findings.add(
      { code: 'unreadable-orders', path: ['orders'], expected, received, advice },
      place && (() => place),
    );
    return [];
  };
  const bytes = await files.read(file, MOST_ORDER_BYTES).catch((error: unknown) => {
    refuse(
      'a CSV file of at most 4 MB',
      error instanceof Error ? error.message : String(error),
      `Check ${file}; paths start from the config's folder.`,
    );
    return undefined;
  });
  if (!bytes) return [];
  const reading = readOrderFile(bytes, file);
  if ('fault' in reading) return refuse('a CSV file of orders', reading.fault, reading.advice, reading.line);
  if (reading.records.length > MOST_ORDERS)
    return refuse(`at most ${MOST_ORDERS} orders`, String(reading.records.length), 'Split the orders.');
  if (!soundHeader(reading.header, range, findings, () => reading.headerPlace)) return [];

  const reader: Reader = {
    range,
    bands: orderableBands(range),
    report: (record, column, code, expected, received, advice) => {
      const place = record.place(column);
      findings.add(
        { code, path: ['orders', column], expected, received: unquoted(record, column, received), advice },
        () => place,
      );
    },
  };
  const seen = new Map<string, number>();
  return reading.records.flatMap((record) => {
    const order = readOrder(record, reader);
    const before = seen.get(record.cells.order.toLowerCase());
    seen.set(record.cells.order.toLowerCase(), record.line);
    if (before !== undefined)
      reader.report(
        record,
        'order',
        'duplicate-order',
        'an order number that no other line has',
        `the one of line ${before}`,
        'Remove one of the lines or number it anew.',
      );
    return order ? [order] : [];
  });
}

/** A cell may hold what stands in the wrong column, a name for one: an error says where it is, not what it says. */
function unquoted({ cells, line }: OrderRecord, column: string, received: string): string {
  const cell = cells[column] ?? '';
  const begins = received.startsWith('"') ? received.slice(1, 21).replace(/["…].*$/, '') : '';
  const quotes = cell !== '' && (received.includes(cell) || (begins !== '' && cell.startsWith(begins)));
  return quotes
    ? `another text (${[...cell].length} characters) in column "${column}" of line ${line}`
    : received;
}

/** All that a column may be named. */
export function columnsOf(range: Orderable): string[] {
  const axes = range.axes.map((a) => a.name);
  const perBand = ['sku', ...new Set(['size', ...axes]), ...TEXT_COLUMNS].flatMap((c) => [
    `${c}-1`,
    `${c}-2`,
  ]);
  return ['order', 'names', 'sku', ...perBand, 'notes', 'issued', 'expires', 'delivery', 'language'];
}

function soundHeader(
  header: readonly string[],
  range: Orderable,
  findings: Findings,
  locate: () => { file: string; line: number; column: number },
): boolean {
  const known = columnsOf(range);
  const add = (code: string, expected: string, received: string, advice: string) =>
    findings.add({ code, path: ['orders'], expected, received, advice }, locate);
  const unknown = header.filter((name) => !known.includes(name));
  for (const name of unknown)
    add('unknown-column', `one of ${known.join(', ')}`, JSON.stringify(name), adviseName(name, known));
  const twice = header.filter((name, i) => header.indexOf(name) !== i);
  for (const name of twice) add('column-twice', 'each column once', JSON.stringify(name), 'Remove one.');
  const missing = ['order', 'names'].filter((name) => !header.includes(name));
  for (const name of missing)
    add('missing-column', `a column "${name}"`, header.join(', '), `Add "${name}" to the first line.`);
  return unknown.length + twice.length + missing.length === 0;
}

function readOrder(record: OrderRecord, r: Reader): OrderPlan | undefined {
  const { cells } = record;
  const id = cells.order;
  if (!id || id.length > MOST.order)
    r.report(
      record,
      'order',
      'wrong-value',
      `an order number of at most ${MOST.order} characters`,
      id ? `${id.length} characters` : 'nothing',
      'Give each order its own number.',
    );
  if (!cells.names)
    r.report(record, 'names', 'missing-key', 'whom the proof is for', 'nothing', 'Write the names.');
  const bands = chosenBands(record, r);
  const notes = personalText(record, 'notes', MOST.notes, r, true);
  const names = personalText(record, 'names', MOST.names, r) ?? '';
  const issued = date(record, 'issued', r);
  const expires = date(record, 'expires', r);
  const delivery = date(record, 'delivery', r);
  const language = languageOf(record, r);
  if (!bands) return undefined;
  const [left, right] = bands.map((b) => b.variant.sku);
  const pair = r.range.pairs.find((p) => !p.third && p.left.sku === left && p.right.sku === right);
  return {
    id,
    line: record.line,
    names,
    bands,
    ...(pair ? { pair: pair.sku } : {}),
    ...(notes ? { notes } : {}),
    ...(issued ? { issued } : {}),
    ...(expires ? { expires } : {}),
    ...(delivery ? { delivery } : {}),
    language,
  };
}
