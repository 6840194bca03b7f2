/**
 * What a band costs by the maker's own rates. Every line, the markup and the tax are rounded to the currency's smallest
 * unit, halves up; the price that is asked is the nearest multiple of the maker's step, and tax and net follow from it,
 * so that net and tax always add up to gross.
 *
 * Computed from a model: a basis for the maker's offer, not an offer by itself.
 */
import { type PricePlan, stoneRateKey } from '../plan/client-plan.ts';
import { textIn } from '../plan/local-text.ts';
import { roundMoney, toMinor } from '../trade/money.ts';
import type { Language } from '../trade/words.ts';
import type { BandFacts } from './catalogue-schema.ts';

export interface PriceLine {
  /** alloy, `stone origin`, or the kind of work */
  item: string;
  kind: 'metal' | 'stones' | 'labour' | 'markup';
  quantity: number;
  unit: 'g' | 'ct' | 'piece' | 'band' | 'share';
  /** per unit */
  rate: number;
  amount: number;
}

/** Internal: what a client is asked is `total` alone. */
export interface PriceBreakdown {
  currency: string;
  /** which mass of metal was charged, and the share lost that is charged beside it */
  mass: PricePlan['mass'];
  loss: number;
  lines: PriceLine[];
  net: number;
  tax: number;
  gross: number;
  /** gross if prices are told with tax, else net */
  total: number;
}

/** Undefined if the mass as cast is to be charged and is not known, as before any part was built. */
export function priceOf(band: BandFacts, plan: PricePlan): PriceBreakdown | undefined {
  const metals = metalLines(band, plan);
  if (!metals) return undefined;
  const { currency, mass, loss } = plan;
  const lines = [...metals, ...stoneLines(band, plan), ...labourLines(band, plan)];
  const costs = lines.reduce((sum, l) => sum + l.amount, 0);
  if (plan.markup > 0)
    lines.push(line('markup', 'markup', plan.markup, 'share', toMinor(costs, currency), currency));
  const net = lines.reduce((sum, l) => sum + l.amount, 0);
  return { currency, mass, loss, lines, ...asked(net, plan) };
}

/** The nearest multiple of the step to what is told, and what follows from it. */
function asked(
  costs: number,
  { currency, tax, step }: PricePlan,
): Pick<PriceBreakdown, 'net' | 'tax' | 'gross' | 'total'> {
  const rate = tax?.rate ?? 0;
  if (tax?.included) {
    const gross = roundMoney(costs * (1 + rate), step);
    const share = toMinor((gross * rate) / (1 + rate), currency);
    return { net: toMinor(gross - share, currency), tax: share, gross, total: gross };
  }
  const net = roundMoney(costs, step);
  const share = toMinor(net * rate, currency);
  return { net, tax: share, gross: toMinor(net + share, currency), total: net };
}

function line(
  kind: PriceLine['kind'],
  item: string,
  quantity: number,
  unit: PriceLine['unit'],
  rate: number,
  currency: string,
): PriceLine {
  return { item, kind, quantity, unit, rate, amount: toMinor(quantity * rate, currency) };
}

function metalLines(band: BandFacts, plan: PricePlan): PriceLine[] | undefined {
  const { caster } = band;
  if (plan.mass === 'as-cast' && !caster) return undefined;
  return band.metals.map(({ alloy, massG }) => {
    const part = caster?.parts.find((p) => p.alloy === alloy);
    // the sprue goes back into the melt and is not the client's
    const cast = part && part.castMassG / (1 + (caster?.sprue ?? 0));
    const grams = (plan.mass === 'as-cast' ? (cast ?? massG) : massG) * (1 + plan.loss);
    return line('metal', alloy, grams, 'g', plan.perGram[alloy], plan.currency);
  });
}

function stoneLines(band: BandFacts, plan: PricePlan): PriceLine[] {
  return band.rows.map(({ stone, origin = 'natural', count, carats }) => {
    const key = stoneRateKey(stone, origin);
    const rate = plan.stones[key];
    return 'perCarat' in rate
      ? line('stones', key, carats, 'ct', rate.perCarat, plan.currency)
      : line('stones', key, count, 'piece', rate.perPiece, plan.currency);
  });
}

function labourLines(band: BandFacts, { labour, currency }: PricePlan): PriceLine[] {
  return [
    ...(labour.fixed > 0 ? [line('labour', 'making', 1, 'band', labour.fixed, currency)] : []),
    ...(labour.perStone > 0 && band.stoneCount > 0
      ? [line('labour', 'setting', band.stoneCount, 'piece', labour.perStone, currency)]
      : []),
  ];
}

/** What the catalogue tells of it. */
export function publicPrice(band: BandFacts, plan: PricePlan, language: Language): BandFacts['price'] {
  const breakdown = priceOf(band, plan);
  if (!breakdown) return undefined;
  const { tax } = plan;
  return {
    total: breakdown.total,
    currency: breakdown.currency,
    ...(tax ? { tax: { name: textIn(tax.name, language), rate: tax.rate, included: tax.included } } : {}),
  };
}
