/** prices.csv: how each band's price is made up, for the maker. RFC 4180, UTF-8, one line per part of a price. */

import type { PriceBreakdown } from '../facts/price.ts';
import { plainAmount, toMinor } from '../trade/money.ts';
import { csvCell } from '../words/csv.ts';
import { type Locale, localeOf } from '../words/locale.ts';

const HEADER = ['sku', 'kind', 'item', 'quantity', 'unit', 'rate', 'amount', 'currency', 'note'];

export function pricesCsv(
  prices: readonly { sku: string; price: PriceBreakdown }[],
  { messages, number }: Locale = localeOf('en'),
): string {
  const say = messages.wording;
  const work = (item: string) => (item in say.work ? say.work[item as keyof typeof say.work] : item);
  const rows = prices.flatMap(({ sku, price }) => {
    const { currency } = price;
    // a negative amount as text would be taken for a formula
    const money = (n: number) => (n < 0 ? n : plainAmount(n, currency));
    const lost = price.loss > 0 ? `${number(100 * price.loss, 0, 2)} %` : undefined;
    return [
      ...price.lines.map((l) => [
        sku,
        l.kind,
        work(l.item),
        Number(l.quantity.toFixed(4)),
        l.unit,
        l.rate,
        money(l.amount),
        currency,
        l.kind === 'metal' ? say.metalCharged(price.mass, lost) : '',
      ]),
      [
        sku,
        'rounding',
        '',
        '',
        '',
        '',
        money(toMinor(price.net - price.lines.reduce((sum, l) => sum + l.amount, 0), currency)),
        currency,
        '',
      ],
      ...(['net', 'tax', 'gross', 'total'] as const).map((kind) => [
        sku,
        kind,
        '',
        '',
        '',
        '',
        money(price[kind]),
        currency,
        kind === 'total' ? say.asked : '',
      ]),
    ];
  });
  return `${[HEADER, ...rows].map((row) => row.map(csvCell).join(',')).join('\r\n')}\r\n`;
}
