import { minorDigits } from '../trade/money.ts';
import { STONE_ORIGINS } from '../trade/stones.ts';
import { type PricePlan, type StoneRate, stoneRateKey } from './client-plan.ts';
import type { Config } from './config-schema.ts';
import type { Findings } from './findings.ts';
import type { Variant } from './plan.ts';

type Written = NonNullable<Config['price']>;
type WrittenRate = { 'per-carat'?: number; 'per-piece'?: number };

/** The maker's rates; every alloy and stone of the plan must have one. */
export function planPrice(
  config: Config,
  bands: readonly Variant[],
  findings: Findings,
): PricePlan | undefined {
  const { price } = config;
  if (!price) return undefined;
  const perGram = Object.fromEntries(Object.entries(price.metals).filter(([, rate]) => rate !== undefined));
  const stones = stoneRates(price);
  missing(
    bands.flatMap((b) => b.dress.alloys).filter((id) => perGram[id] === undefined),
    ['price', 'metals'],
    'a price per gram of every alloy used',
    (id) => `${id}: 00.00 /g`,
    findings,
  );
  missing(
    bands.flatMap((b) =>
      b.dress.stones.map((id, i) => stoneRateKey(id, b.origins[i])).filter((key) => !stones[key]),
    ),
    ['price', 'stones'],
    'a price of every stone used',
    (key) => `${key.split(' ')[0]}: { per-carat: 00.00 }`,
    findings,
  );
  if (price.mass === 'as-cast' && config.outputs.caster === false)
    findings.add({
      code: 'price-without-casting',
      path: ['price', 'mass'],
      expected: 'outputs.caster, which works out masses as cast',
      received: 'as-cast without it',
      advice: 'Add "caster" to outputs, or charge the finished mass.',
    });
  const { currency, mass, loss, labour, markup, tax } = price;
  return {
    currency,
    mass,
    loss,
    perGram: perGram as Record<string, number>,
    stones,
    labour: { fixed: labour.fixed, perStone: labour['per-stone'] },
    markup,
    ...(tax ? { tax } : {}),
    step: stepOf(price, findings),
  };
}

/** Prices are multiples of it: of the currency's smallest unit unless the config says more. */
function stepOf({ currency, 'round-to': written }: Written, findings: Findings): number {
  const digits = minorDigits(currency);
  const step = written ?? 10 ** -digits;
  if (Math.abs(step * 10 ** digits - Math.round(step * 10 ** digits)) > 1e-9)
    findings.add({
      code: 'wrong-value',
      path: ['price', 'round-to'],
      expected: `a multiple of the smallest unit of ${currency}`,
      received: String(step),
      advice: `Use at most ${digits} decimal places.`,
    });
  return step;
}

function stoneRates({ stones }: Written): Record<string, StoneRate> {
  const rates: Record<string, StoneRate> = {};
  for (const [id, written] of Object.entries(stones)) {
    if (written === undefined) continue;
    for (const origin of STONE_ORIGINS) {
      const own = (origin in written ? (written as Record<string, WrittenRate>)[origin] : written) as
        | WrittenRate
        | undefined;
      if (own?.['per-carat'] !== undefined) rates[stoneRateKey(id, origin)] = { perCarat: own['per-carat'] };
      if (own?.['per-piece'] !== undefined) rates[stoneRateKey(id, origin)] = { perPiece: own['per-piece'] };
    }
  }
  return rates;
}

function missing(
  keys: readonly string[],
  path: string[],
  expected: string,
  example: (key: string) => string,
  findings: Findings,
): void {
  const distinct = [...new Set(keys)];
  if (distinct.length === 0) return;
  findings.add({
    code: 'no-price',
    path,
    expected,
    received: `none for ${distinct.join(', ')}`,
    advice: `Add your own, such as "${example(distinct[0])}"; no prices come along.`,
  });
}
