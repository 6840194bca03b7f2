/** Which bands of the plan an order names: by SKU or by what they are on each axis. */
import { isRefused } from '../problem.ts';
import { readRingSize } from '../trade/read-ring-size.ts';
import { LANGUAGES, tradeWords } from '../trade/words.ts';
import type { OrderBand } from './client-plan.ts';
import { MOST, type Orderable, personalText, type Reader } from './order-cells.ts';
import type { OrderRecord } from './order-file.ts';
import { engravedDesign, type OrderedLetters } from './ordered-letters.ts';
import type { Pair, Variant } from './plan.ts';
import { nearestName } from './suggestion.ts';
import { bandsOfPair } from './variant.ts';

/** A gauge's tolerance: a client's size is served by a band within this of it, mm of circumference (0.1 mm of diameter). */
export const SIZE_TOLERANCE_MM = 0.32;

/** Columns of letters, each with the number of its band behind it. */
export const LETTER_COLUMNS = { inside: 'engraving', outside: 'outside' } as const;
/** Columns of texts for a band that is chosen by others. */
export const TEXT_COLUMNS = [...Object.values(LETTER_COLUMNS), 'measured'];

/** A couple writes it in its own language. */
const WITHOUT_STONES = new Set(['none', ...LANGUAGES.map((l) => tradeWords(l).noStones.toLowerCase())]);

/** Every band that can be ordered, by SKU. */
export function orderableBands({ variants, pairs }: Orderable): Variant[] {
  const all = [...variants, ...pairs.flatMap(bandsOfPair)];
  return [...new Map(all.map((v) => [v.sku, v])).values()];
}

/** One or two bands; undefined if what is chosen is unclear or not made, which is reported. */
export function chosenBands(record: OrderRecord, r: Reader): OrderBand[] | undefined {
  const { cells } = record;
  const sku = cells.sku?.toLowerCase();
  const whole = sku && wholeOrder(sku, r);
  if (sku && !whole) {
    reportUnknownSku(record, 'sku', r);
    return undefined;
  }
  if (whole?.length === 1) refuseSecond(record, r);
  if (whole) return whole.map((variant, i) => finished(record, variant, i + 1, r));
  const first = chosenBand(record, 1, r);
  // partners that are no variants of the grid can be chosen beside their own left band only
  const partners = r.range.pairs.filter((p) => p.left.sku === first?.variant.sku).map((p) => p.right);
  if (!first) return undefined;
  const second = isBlank(record, 2, r) ? 'none' : chosenBand(record, 2, r, partners);
  if (!second) return undefined;
  return second === 'none' ? [first] : [first, second];
}

/** What is said of a second band where one is ordered would be lost. */
function refuseSecond(record: OrderRecord, r: Reader): void {
  for (const column of ['size', ...TEXT_COLUMNS].map((c) => `${c}-2`))
    if (record.cells[column])
      r.report(
        record,
        column,
        'no-such-band',
        'nothing: the order is for one band',
        `${[...record.cells[column]].length} characters`,
        'Order a pair, or move it to the column of the first band.',
      );
}

/** Both bands of a pair, or one band. */
function wholeOrder(sku: string, { range, bands }: Reader): Variant[] | undefined {
  // three bands are ordered one by one: an order has columns for two
  const pair = range.pairs.find((p: Pair) => !p.third && p.sku.toLowerCase() === sku);
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
  const said = [`sku-${n}`, ...TEXT_COLUMNS.map((c) => `${c}-${n}`)];
  return said.every((column) => !record.cells[column]) && choicesOf(record, n, r).length === 0;
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
    !isRefused(reading) && Math.abs(reading.circumferenceMm - circumference(variant, r)) <= SIZE_TOLERANCE_MM
  );
}

/** Of several sizes within the tolerance the nearest is meant. */
function nearestSizes(variants: readonly Variant[], written: string, r: Reader): Variant[] {
  const reading = readRingSize(written);
  if (isRefused(reading)) return [...variants];
  const off = (v: Variant) => Math.abs(circumference(v, r) - reading.circumferenceMm);
  const least = Math.min(...variants.map(off));
  return variants.filter((v) => off(v) - least < 1e-6);
}

/** The band with the client's size and letters, both checked. */
function finished(record: OrderRecord, variant: Variant, n: number, r: Reader): OrderBand {
  const written = record.cells[`size-${n}`];
  const measured = personalText(record, `measured-${n}`, MOST.measured, r);
  const band = { variant, ...(measured ? { measured } : {}), ...engraved(record, variant, n, r) };
  if (!written || variant.axes.size?.toLowerCase() === written.toLowerCase())
    return written ? { ...band, size: variant.axes.size } : band;
  const reading = readRingSize(written);
  if (isRefused(reading)) {
    const [{ code, expected, received, advice }] = reading.problems;
    r.report(record, `size-${n}`, code, expected, received, advice);
    return band;
  }
  const off = reading.circumferenceMm - circumference(variant, r);
  if (Math.abs(off) > SIZE_TOLERANCE_MM)
    r.report(
      record,
      `size-${n}`,
      'size-conflict',
      `a size within ${SIZE_TOLERANCE_MM} mm of the band's circumference, ${circumference(variant, r).toFixed(2)} mm`,
      `${reading.name}, ${reading.circumferenceMm.toFixed(2)} mm`,
      `Order a band of that size, or add "${reading.name}" to grid.size (or to the pair's partner).`,
    );
  return { ...band, size: reading.name };
}

/** The letters that an order has cut into a band, and the design that carries them. */
function engraved(
  record: OrderRecord,
  { shape, letterPlaces }: Variant,
  n: number,
  r: Reader,
): Pick<OrderBand, 'engraved'> {
  const letters = (['inside', 'outside'] as const).flatMap((side): OrderedLetters[] => {
    const column = `${LETTER_COLUMNS[side]}-${n}`;
    const written = personalText(record, column, MOST.engraving, r)?.trim();
    return written ? [{ side, text: written, column, place: record.place(column) }] : [];
  });
  if (letters.length === 0) return {};
  const design = engravedDesign(r.range.shapes[shape], letterPlaces, letters);
  if ('lanes' in design) return { engraved: { letters, design } };
  r.report(
    record,
    `${LETTER_COLUMNS.outside}-${n}`,
    'no-place-for-letters',
    'a design that says where letters go outside, or one lane without stones, hammer marks and facets',
    design.free.length === 0 ? 'no such lane' : `${design.free.length}: ${design.free.join(', ')}`,
    "Give the place in the template or the config's overrides, without a text: engraving: { outside: { lane: … } }.",
  );
  return {};
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
  if (reading && isRefused(reading)) {
    const [{ code, expected, received, advice }] = reading.problems;
    r.report(record, column, code, expected, received, advice);
    return;
  }
  const known = [...new Set(left.map((v) => v.axes[axis]))].filter(Boolean);
  const name = reading?.name ?? written;
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
