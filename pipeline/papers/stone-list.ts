/** The stones of one band for whoever buys and sets them: RFC 4180, UTF-8, one line a row of equal stones. */

import type { BandFacts } from '../facts/catalogue-schema.ts';
import { WEIGHT_SOURCES } from '../trade/charted-weights.ts';
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
  'count',
  'carats_each_approx',
  'carats_total_approx',
  'weight_source',
];

/** Carats are as charted, supplied or computed; origin and treatments are what the config declares. Round cuts have no length. */
export function stoneListCsv(band: BandFacts): string {
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
      row.count,
      Number((row.carats / row.count).toFixed(4)),
      Number(row.carats.toFixed(3)),
      row.weightFrom && WEIGHT_SOURCES[row.weightFrom],
    ]
      .map(csvCell)
      .join(','),
  );
  return `${[HEAD.join(','), ...lines].join('\r\n')}\r\n`;
}
