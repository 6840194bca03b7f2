/**
 * catalogue.csv: RFC 4180 (comma, CRLF, quotes doubled), UTF-8, one line per band: a variant has one, a pair two. Names of
 * columns and bare numbers are for machines and alike in every language; what is put into words is for people.
 */

import type { BandFacts, Catalogue, CatalogueEntry } from '../facts/catalogue-schema.ts';
import { heldBy, verdictOf } from '../facts/verdict.ts';
import { MARKETS } from '../trade/market.ts';
import { plainAmount } from '../trade/money.ts';
import { type CsvCell, csvCell } from '../words/csv.ts';
import { type Locale, localeOf } from '../words/locale.ts';

type Column = [name: string, value: (item: CatalogueEntry, band: BandFacts, index: number) => CsvCell];

export function catalogueCsv(catalogue: Catalogue): string {
  const table = columns(catalogue);
  const lines = [table.map(([name]) => csvCell(name)).join(',')];
  for (const item of catalogue.items) {
    item.bands.forEach((band, index) => {
      lines.push(table.map(([, value]) => csvCell(value(item, band, index))).join(','));
    });
  }
  return `${lines.join('\r\n')}\r\n`;
}

function columns(catalogue: Catalogue): Column[] {
  const locale = localeOf(catalogue.language ?? 'en', MARKETS.get(catalogue.market ?? ''));
  const systems = new Map(
    catalogue.items.flatMap((item) =>
      item.bands.flatMap((b) => b.sizes.map((s) => [s.system, s.label] as const)),
    ),
  );
  return [
    ['sku', (item) => item.sku],
    ['kind', (item) => item.kind],
    ['title', (item) => item.title],
    ['band', (_, __, index) => index + 1],
    ['band_sku', (_, band) => band.sku],
    ...catalogue.axes.map(({ name }): Column => [`axis_${name}`, (_, band) => band.axes[name]]),
    ['inner_diameter_mm', (_, band) => rounded(band.innerDiameterMm, 3)],
    ['circumference_mm', (_, band) => rounded(band.circumferenceMm, 3)],
    ...[...systems.keys()].map(
      (system): Column => [`size_${system}`, (_, band) => band.sizes.find((s) => s.system === system)?.text],
    ),
    ['width_mm', (_, band) => rounded(band.widthMm, 3)],
    ['thickness_mm', (_, band) => rounded(band.thicknessMm, 3)],
    ['back_width_mm', (_, band) => band.back && rounded(band.back.widthMm, 3)],
    ['back_thickness_mm', (_, band) => band.back && rounded(band.back.thicknessMm, 3)],
    ['metals', (_, band) => band.metals.map((m) => `${m.name}: ${locale.number(m.massG, 2)} g`).join('; ')],
    ['metal_mass_g_approx', (_, band) => rounded(band.metalMassG, 2)],
    [
      'stones',
      (_, band) => band.rows.map((r) => `${r.count} × ${r.label}, ${stoneSize(r, locale)}`).join('; '),
    ],
    ['stone_count', (_, band) => band.stoneCount],
    ['total_carats_approx', (_, band) => rounded(band.totalCarats, 2)],
    ['failed_checks', (_, band) => verdictOf(band.checks).failed.length],
    ['waived_checks', (_, band) => verdictOf(band.checks).waived.length],
    ['held_back', (item) => heldBy(item.bands).join('; ')],
    ...(catalogue.items.some((item) => item.bands.some((b) => b.price))
      ? ([
          ['price', (_, { price }) => price && plainAmount(price.total, price.currency)],
          ['currency', (_, { price }) => price?.currency],
          [
            'tax',
            (_, { price }) =>
              price?.tax &&
              locale.messages.wording.tax(
                price.tax.included,
                `${locale.number(100 * price.tax.rate, 0, 2)} % ${price.tax.name}`,
              ),
          ],
        ] satisfies Column[])
      : []),
    ['main_image', (item) => mainImages(item)[0]],
    ['more_images', (item) => mainImages(item).slice(1).join('; ')],
    ['model', (_, band) => band.model?.file],
    ['model_variant', (_, band) => band.model?.variant],
  ];
}

/** The widest file of each shot, in the first format given; of a turntable the first frame. */
function mainImages(item: CatalogueEntry): string[] {
  return item.shots
    .filter((shot) => (shot.turn?.frame ?? 1) === 1)
    .flatMap(({ pictures }) => {
      const files = pictures.filter((p) => p.role === 'picture');
      const same = files.filter((p) => p.format === files[0].format);
      return same.sort((a, b) => b.width - a.width).slice(0, 1);
    })
    .map((p) => p.file);
}

function rounded(value: number, digits: number): number {
  return Number(value.toFixed(digits));
}

/** `1.5 mm`, or `4 by 2 mm` for cuts that are not round. */
function stoneSize({ diameterMm, lengthMm }: BandFacts['rows'][number], { messages, number }: Locale) {
  const across = `${number(diameterMm, 0, 3)} mm`;
  return lengthMm === undefined ? across : messages.wording.by(number(lengthMm, 0, 3), across);
}
