/** prices.csv: how each band's price is made up, for the maker. RFC 4180, UTF-8, one line per part of a price. */
import { plainAmount } from '../trade/money.ts';
import { csvCell } from './catalogue-csv.ts';
import type { PriceBreakdown } from './price.ts';

const HEADER = ['sku', 'kind', 'item', 'quantity', 'unit', 'rate', 'amount', 'currency', 'note'];

export function pricesCsv(prices: readonly { sku: string; price: PriceBreakdown }[]): string {
  const rows = prices.flatMap(({ sku, price }) => {
    const { currency } = price;
    const money = (n: number) => plainAmount(n, currency);
    const mass = `${price.mass} mass${price.loss > 0 ? `, with ${Number((100 * price.loss).toFixed(2))} % lost` : ''}`;
    return [
      ...price.lines.map((l) => [
        sku,
        l.kind,
        l.item,
        Number(l.quantity.toFixed(4)),
        l.unit,
        l.rate,
        money(l.amount),
        currency,
        l.kind === 'metal' ? mass : '',
      ]),
      [
        sku,
        'rounding',
        '',
        '',
        '',
        '',
        money(price.net - price.lines.reduce((sum, l) => sum + l.amount, 0)),
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
        kind === 'total' ? 'asked; rounded to the nearest step, halves up' : '',
      ]),
    ];
  });
  return `${[HEADER, ...rows].map((row) => row.map(csvCell).join(',')).join('\r\n')}\r\n`;
}
