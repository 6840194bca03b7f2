/**
 * Orders: which two bands a couple wants, and what their proof says besides. The bands must be in the plan; one that
 * isn't is an error that says what to add, since an order must never trace a shape that nobody asked the config for.
 *
 * Names, notes and engraving are personal: problems tell their length or place and never quote them.
 */
import path from 'node:path';
import { readRingSize } from '../trade/ring-size.ts';
import { LANGUAGES, type Language, tradeWords } from '../trade/words.ts';
import type { OrderBand, OrderPlan } from './client-plan.ts';
import type { Findings } from './findings.ts';
import { MOST_ORDER_BYTES, MOST_ORDERS, type OrderRecord, readOrderFile } from './order-file.ts';
import type { Pair, Plan, Variant } from './plan.ts';
import type { CatalogueFiles } from './reading.ts';
import { adviseName, nearestName } from './suggestion.ts';
import { characterNames, missingCharacters } from './typeface.ts';

/** A gauge's tolerance: a client's size is served by a band within this of it, mm of circumference (0.1 mm of diameter). */
export const SIZE_TOLERANCE_MM = 0.32;

const MOST = { order: 40, names: 120, engraving: 60, notes: 600 };

/** A couple writes it in its own language. */
const WITHOUT_STONES = new Set(['none', ...LANGUAGES.map((l) => tradeWords(l).noStones.toLowerCase())]);

/** What orders choose from. */
export type Range = Pick<Plan, 'axes' | 'shapes' | 'variants' | 'pairs' | 'language'>;

interface Reader {
  range: Range;
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

/** @returns the orders of the file; problems go to `findings`, each at its line and column */
export async function readOrders(
  written: string,
  folder: string,
  range: Range,
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
  let bytes: Uint8Array;
  try {
    bytes = await files.read(file, MOST_ORDER_BYTES);
  } catch (error) {
    const received = error instanceof Error ? error.message : String(error);
    return refuse(
      'a CSV file of at most 4 MB',
      received,
      `Check ${file}; paths start from the config's folder.`,
    );
  }
  const reading = readOrderFile(bytes, file);
  if ('fault' in reading) return refuse('a CSV file of orders', reading.fault, reading.advice, reading.line);
  if (reading.records.length > MOST_ORDERS)
    return refuse(`at most ${MOST_ORDERS} orders`, String(reading.records.length), 'Split the orders.');
  if (!soundHeader(reading.header, range, findings, () => reading.headerPlace)) return [];

  const reader: Reader = {
    range,
    bands: bandsOf(range),
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

function bandsOf({ variants, pairs }: Range): Variant[] {
  const all = [...variants, ...pairs.flatMap((p) => [p.left, p.right])];
  return [...new Map(all.map((v) => [v.sku, v])).values()];
}

function columnsOf(range: Range): string[] {
  const axes = range.axes.map((a) => a.name);
  const perBand = ['sku', ...new Set(['size', ...axes]), 'engraving'].flatMap((c) => [`${c}-1`, `${c}-2`]);
  return ['order', 'names', 'sku', ...perBand, 'notes', 'issued', 'expires', 'language'];
}

function soundHeader(
  header: readonly string[],
  range: Range,
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
  const notes = text(record, 'notes', MOST.notes, r, true);
  const names = text(record, 'names', MOST.names, r) ?? '';
  const issued = date(record, 'issued', r);
  const expires = date(record, 'expires', r);
  const language = languageOf(record, r);
  if (!bands) return undefined;
  const [left, right] = bands.map((b) => b.variant.sku);
  const pair = r.range.pairs.find((p) => p.left.sku === left && p.right.sku === right);
  return {
    id,
    line: record.line,
    names,
    bands,
    ...(pair ? { pair: pair.sku } : {}),
    ...(notes ? { notes } : {}),
    ...(issued ? { issued } : {}),
    ...(expires ? { expires } : {}),
    language,
  };
}

/** Personal text: its length and letters are checked, and it is never quoted. */
function text(
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
function date(record: OrderRecord, column: string, r: Reader): string | undefined {
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

function languageOf(record: OrderRecord, r: Reader): Language {
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

function chosenBands(record: OrderRecord, r: Reader): OrderBand[] | undefined {
  const { cells } = record;
  const sku = cells.sku?.toLowerCase();
  const whole = sku && wholeOrder(sku, r);
  if (sku && !whole) {
    reportUnknownSku(record, 'sku', r);
    return undefined;
  }
  if (whole) return whole.map((variant, i) => finished(record, variant, i + 1, r));
  const first = chosenBand(record, 1, r);
  // partners that are no variants of the grid can be chosen beside their own left band only
  const partners = r.range.pairs.filter((p) => p.left.sku === first?.variant.sku).map((p) => p.right);
  if (!first) return undefined;
  const second = isBlank(record, 2, r) ? 'none' : chosenBand(record, 2, r, partners);
  if (!second) return undefined;
  return second === 'none' ? [first] : [first, second];
}

/** Both bands of a pair, or one band. */
function wholeOrder(sku: string, { range, bands }: Reader): Variant[] | undefined {
  const pair = range.pairs.find((p: Pair) => p.sku.toLowerCase() === sku);
  if (pair) return [pair.left, pair.right];
  const band = bands.find((b) => b.sku.toLowerCase() === sku);
  return band && [band];
}

function choicesOf(record: OrderRecord, n: number, { range }: Reader): [axis: string, written: string][] {
  const axes = new Set(['size', ...range.axes.map((a) => a.name)]);
  return [...axes].flatMap((axis): [string, string][] => {
    const written = record.cells[`${axis}-${n}`];
    return written ? [[axis, written]] : [];
  });
}

function isBlank(record: OrderRecord, n: number, r: Reader): boolean {
  return !record.cells[`sku-${n}`] && !record.cells[`engraving-${n}`] && choicesOf(record, n, r).length === 0;
}

function chosenBand(
  record: OrderRecord,
  n: number,
  r: Reader,
  partners: readonly Variant[] = [],
): OrderBand | undefined {
  const sku = record.cells[`sku-${n}`]?.toLowerCase();
  if (sku) {
    const variant = r.bands.find((b) => b.sku.toLowerCase() === sku);
    if (!variant) reportUnknownSku(record, `sku-${n}`, r);
    return variant && finished(record, variant, n, r);
  }
  const choices = choicesOf(record, n, r);
  if (choices.length === 0) {
    const expected = `a SKU in "sku", or "sku-${n}", or axis values such as "size-${n}"`;
    r.report(record, `sku-${n}`, 'no-band', expected, 'none', 'Say which band is ordered.');
    return undefined;
  }
  let left = [...new Map([...r.range.variants, ...partners].map((v) => [v.sku, v])).values()];
  for (const [axis, written] of choices) {
    const fitting = left.filter((v) => fits(v, axis, written, r));
    if (fitting.length === 0) {
      reportNotInGrid(record, axis, written, n, left, r);
      return undefined;
    }
    left = axis === 'size' ? nearestSizes(fitting, written, r) : fitting;
  }
  if (left.length > 1) {
    const open = r.range.axes
      .map((a) => a.name)
      .filter((name) => new Set(left.map((v) => v.axes[name])).size > 1);
    r.report(
      record,
      `${choices[0][0]}-${n}`,
      'order-ambiguous',
      'choices that one variant alone fits',
      `choices that ${left.length} fit`,
      `Say also ${open.map((name) => `"${name}-${n}"`).join(', ')}.`,
    );
    return undefined;
  }
  return finished(record, left[0], n, r);
}

function circumference(variant: Variant, { range }: Reader): number {
  return range.shapes[variant.shape].circumferenceMm;
}

function fits(variant: Variant, axis: string, written: string, r: Reader): boolean {
  const wanted = written.trim().toLowerCase();
  const named = [variant.axes[axis], variant.slugs[axis]].some((n) => n?.toLowerCase() === wanted);
  if (named) return true;
  if (axis === 'width')
    return Number.parseFloat(wanted.replace(',', '.')) === r.range.shapes[variant.shape].widthMm;
  if (axis === 'metal') return variant.dress.alloys.every((a) => a === wanted);
  if (axis === 'stone' && WITHOUT_STONES.has(wanted)) return variant.dress.stones.length === 0;
  if (axis === 'stone')
    return variant.dress.stones.length > 0 && variant.dress.stones.every((s) => s === wanted);
  if (axis !== 'size') return false;
  const reading = readRingSize(written);
  return (
    'size' in reading &&
    Math.abs(reading.size.circumferenceMm - circumference(variant, r)) <= SIZE_TOLERANCE_MM
  );
}

/** Of several sizes within the tolerance the nearest is meant. */
function nearestSizes(variants: readonly Variant[], written: string, r: Reader): Variant[] {
  const reading = readRingSize(written);
  if (!('size' in reading)) return [...variants];
  const off = (v: Variant) => Math.abs(circumference(v, r) - reading.size.circumferenceMm);
  const least = Math.min(...variants.map(off));
  return variants.filter((v) => off(v) - least < 1e-6);
}

/** The band with the client's size and engraving, both checked. */
function finished(record: OrderRecord, variant: Variant, n: number, r: Reader): OrderBand {
  const written = record.cells[`size-${n}`];
  const engraving = text(record, `engraving-${n}`, MOST.engraving, r);
  const band = { variant, ...(engraving ? { engraving } : {}) };
  if (!written || variant.axes.size?.toLowerCase() === written.toLowerCase())
    return written ? { ...band, size: variant.axes.size } : band;
  const reading = readRingSize(written);
  if (!('size' in reading)) {
    const { code, expected, received, advice } = reading.problem;
    r.report(record, `size-${n}`, code, expected, received, advice);
    return band;
  }
  const off = reading.size.circumferenceMm - circumference(variant, r);
  if (Math.abs(off) > SIZE_TOLERANCE_MM)
    r.report(
      record,
      `size-${n}`,
      'size-conflict',
      `a size within ${SIZE_TOLERANCE_MM} mm of the band's circumference, ${circumference(variant, r).toFixed(2)} mm`,
      `${reading.size.name}, ${reading.size.circumferenceMm.toFixed(2)} mm`,
      `Order a band of that size, or add "${reading.size.name}" to grid.size (or to the pair's partner).`,
    );
  return { ...band, size: reading.size.name };
}

function reportUnknownSku(record: OrderRecord, column: string, r: Reader): void {
  const known = [...r.range.pairs.map((p) => p.sku), ...r.bands.map((b) => b.sku)];
  const near = nearestName(record.cells[column], known);
  const advice = `${near ? `Did you mean "${near}"?` : 'catalogue.csv lists all SKUs.'} What the config does not make must be added to its grid or pairs.`;
  const expected = `a SKU of the catalogue such as ${known[0]}`;
  r.report(record, column, 'not-in-catalogue', expected, JSON.stringify(record.cells[column]), advice);
}

function reportNotInGrid(
  record: OrderRecord,
  axis: string,
  written: string,
  n: number,
  left: readonly Variant[],
  r: Reader,
): void {
  const column = `${axis}-${n}`;
  const reading = axis === 'size' ? readRingSize(written) : undefined;
  if (reading && 'problem' in reading) {
    const { code, expected, received, advice } = reading.problem;
    r.report(record, column, code, expected, received, advice);
    return;
  }
  const known = [...new Set(left.map((v) => v.axes[axis]))].filter(Boolean);
  const name = reading && 'size' in reading ? reading.size.name : written;
  const everywhere = r.range.axes.find((a) => a.name === axis)?.values.map((v) => v.label) ?? [];
  const skipped = everywhere.some((label) => label.toLowerCase() === name.toLowerCase());
  r.report(
    record,
    column,
    'not-in-grid',
    known.length > 0 ? `one of ${known.join(', ')}` : `no choice: the grid has no axis "${axis}"`,
    JSON.stringify(written.slice(0, 60)),
    skipped
      ? 'The grid leaves out this combination: change "skip" in the config.'
      : `Add ${JSON.stringify(name)} to grid.${axis} in the config to have it made.`,
  );
}
