/** The stones of one band for whoever buys and sets them: RFC 4180, UTF-8, one line a row of equal stones. */

import type { BandFacts } from '../facts/catalogue-schema.ts';
import { WEIGHT_SOURCES } from '../trade/charted-weights.ts';
import { sieveClass } from '../trade/sieve-classes.ts';
import { csvCell } from '../words/csv.ts';

const HEAD = [
  'band_sku',
  'row',
  'stone',
  'declared_origin',
  'declared_treatments',
  'description',
  'cut',
  'width_mm',
  'length_mm',
  'sieve_class',
  'quality',
  'count',
  'to_order',
  'carats_each_approx',
  'carats_total_approx',
  'weight_source',
];

/** What the workshop adds of its own to lists of stones. */
export interface OwnBench {
  /** share of the stones of each kind that is bought beside them, rounded up to whole stones */
  spares?: number;
  /** quality by stone, in the workshop's words */
  quality?: Readonly<Partial<Record<string, string>>>;
}

/** Stones of one kind to have in hand, spares among them. */
export function stonesToOrder(count: number, spares: number): number {
  // a share such as 0.1 of 30 is three, also where its product comes out a little more
  return count + Math.ceil(count * spares - 1e-9);
}

/** Plates between which a row's stones are sorted; none for cuts that are no brilliants, and outside the chart. */
export function sieveOf({ cut, diameterMm }: BandFacts['rows'][number]): string | undefined {
  return cut === 'round-brilliant' ? sieveClass(diameterMm) : undefined;
}

/** Carats are as charted, supplied or computed; origin and treatments are what the config declares. Round cuts have no length. */
export function stoneListCsv(band: BandFacts, { spares = 0, quality = {} }: OwnBench = {}): string {
  const lines = band.rows.map((row) =>
    [
      band.sku,
      row.name,
      row.stone,
      row.origin,
      row.treatments?.join(' + '),
      row.label,
      row.cut,
      row.diameterMm,
      row.lengthMm,
      sieveOf(row),
      quality[row.stone],
      row.count,
      stonesToOrder(row.count, spares),
      Number((row.carats / row.count).toFixed(4)),
      Number(row.carats.toFixed(3)),
      row.weightFrom && WEIGHT_SOURCES[row.weightFrom],
    ]
      .map(csvCell)
      .join(','),
  );
  return `${[HEAD.join(','), ...lines].join('\r\n')}\r\n`;
}
