import fc from 'fast-check';
import Papa from 'papaparse';
import { describe, expect, it } from 'vitest';
import type { BandFacts, Catalogue } from '../../pipeline/facts/catalogue-schema.ts';
import { priceOf, publicPrice } from '../../pipeline/facts/price.ts';
import { pricesCsv } from '../../pipeline/papers/prices-csv.ts';
import type { PricePlan } from '../../pipeline/plan/client-plan.ts';
import { catalogueCsv } from '../../pipeline/publish/catalogue-csv.ts';
import { catalogueJsonLd } from '../../pipeline/publish/catalogue-jsonld.ts';
import { feedCsv } from '../../pipeline/publish/feed-csv.ts';
import { config, planOf, problemsOf } from '../plan/workspace.ts';
import { parseCsv } from '../publish/parse-csv.ts';
import { SAMPLE_SHOP, sampleBand } from '../publish/sample-items.ts';

const PLAN: PricePlan = {
  currency: 'EUR',
  mass: 'finished',
  loss: 0.1,
  perGram: { y: 60 },
  stones: { 'd natural': { perCarat: 1000 }, 'd laboratory-grown': { perPiece: 2.5 } },
  labour: { fixed: 200, perStone: 5 },
  markup: 0.5,
  tax: { name: 'VAT', rate: 0.2, included: true },
  step: 0.01,
};
const BAND = sampleBand('A', {});

describe('price', () => {
  it('is what a calculator says, line by line', () => {
    // 3.1 g · 1.1 · 60 = 204.60; 0.574 ct · 1000 = 574.00; 200 + 31 · 5 = 355; sum 1133.60; half of it 566.80;
    // net 1700.40; a fifth of it 340.08
    const price = priceOf(BAND, PLAN);
    expect(price?.lines.map((l) => l.amount)).toEqual([204.6, 574, 200, 155, 566.8]);
    expect(price).toMatchObject({ net: 1700.4, tax: 340.08, gross: 2040.48, total: 2040.48 });
  });

  it('charges stones by piece where the rate of their origin says so', () => {
    const grown = sampleBand('B', { rows: [{ ...BAND.rows[0], origin: 'laboratory-grown' }] });
    expect(priceOf(grown, PLAN)?.lines[1]).toMatchObject({ unit: 'piece', quantity: 31, amount: 77.5 });
  });

  it('charges the mass as cast without its sprue, and nothing before that mass is known', () => {
    const cast = { ...PLAN, mass: 'as-cast' as const, loss: 0 };
    expect(priceOf(BAND, cast)).toBeUndefined();
    const part = {
      alloy: 'y',
      lanes: [],
      pieces: 1,
      finishedMassG: 3.1,
      castVolumeMm3: 1,
      castMassG: 4.8,
      files: [],
    };
    const caster = { shrinkage: 0, polishMm: 0.05, sprue: 0.2, parts: [part] };
    // 4.8 g with a fifth of sprue: 4 g are the part's
    expect(priceOf({ ...BAND, caster }, cast)?.lines[0]).toMatchObject({ quantity: 4, amount: 240 });
  });

  it('is a multiple of the step nearest to the costs, and net and tax always make up gross', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.1, max: 60, noNaN: true }),
        fc.constantFrom(0.01, 0.05, 1, 10),
        fc.constantFrom(0, 0.07, 0.19, 0.25),
        fc.boolean(),
        (grams, step, rate, included) => {
          const band = { ...BAND, metals: [{ ...BAND.metals[0], massG: grams }] };
          const price = priceOf(band, { ...PLAN, step, tax: { name: 'VAT', rate, included } });
          if (!price) throw new Error('no price');
          const cents = (x: number) => Math.round(100 * x);
          expect(cents(price.net) + cents(price.tax)).toBe(cents(price.gross));
          expect(cents(price.total) % cents(step)).toBe(0);
          const exact = price.lines.reduce((s, l) => s + l.amount, 0) * (included ? 1 + rate : 1);
          expect(Math.abs(price.total - exact)).toBeLessThanOrEqual(step / 2 + 1e-9);
        },
      ),
    );
  });
});

const band = (over: Partial<BandFacts> = {}) =>
  sampleBand('A-1', { price: publicPrice(BAND, PLAN, 'en'), ...over });
const CATALOGUE = {
  version: 1,
  catalogue: 'c',
  title: 'C',
  workshop: 'W',
  axes: [],
  models: [],
  cautions: [],
  items: [
    {
      sku: 'A-1',
      kind: 'variant',
      title: 'A',
      bands: [band()],
      shots: [
        {
          name: 's',
          label: 's',
          noise: { target: 1, reached: 1, passes: 1 },
          pictures: [
            {
              file: 'A-1/a.jpg',
              role: 'extra',
              name: 'feed',
              format: 'jpeg',
              width: 9,
              height: 9,
              bytes: 1,
              sha256: 'a'.repeat(64),
            },
          ],
        },
      ],
      cautions: [],
      keys: {},
      versions: {},
    },
  ],
} satisfies Catalogue;

it('prices.csv as Papa Parse reads it adds up, also where rounding takes something off', () => {
  // net 1700.40 and a fifth, 2040.48, rises to the nearest three hundred: 2100; at a step of 250 it falls to 2000
  for (const [step, total] of [
    [300, 2100],
    [250, 2000],
  ]) {
    const price = priceOf(BAND, { ...PLAN, step })!;
    const { data, errors } = Papa.parse<Record<string, string>>(pricesCsv([{ sku: 'A', price }]), {
      header: true,
      skipEmptyLines: true,
    });
    expect(errors).toEqual([]);
    const amount = (kind: string) => Number(data.find((row) => row.kind === kind)?.amount);
    const parts = data.filter((row) =>
      ['metal', 'stones', 'labour', 'markup', 'rounding'].includes(row.kind),
    );
    // a sum of money that a spreadsheet takes for text would be missing from it
    expect(parts.map((row) => Number(row.amount)).every(Number.isFinite)).toBe(true);
    expect(parts.reduce((sum, row) => sum + Number(row.amount), 0)).toBeCloseTo(amount('net'), 6);
    expect(amount('net') + amount('tax')).toBeCloseTo(total, 6);
    expect(Math.sign(amount('rounding'))).toBe(step === 300 ? 1 : -1);
  }
});

describe('price in what a shop uploads', () => {
  const shop = {
    ...SAMPLE_SHOP,
    availability: 'backorder',
    availableFrom: '2027-03-01',
  } as const;
  const row = (text: string) => {
    const [head, cells] = parseCsv(text);
    return Object.fromEntries(head.map((name, i) => [name, cells[i]]));
  };

  it('stands in the feed as the product data specification writes it', () => {
    // price: support.google.com/merchants/answer/6324371; availability: answer/6324448 and 6324470
    expect(row(feedCsv(CATALOGUE, shop))).toMatchObject({
      price: '2040.48 EUR',
      availability: 'backorder',
      availability_date: '2027-03-01T00:00Z',
    });
    const none = { ...CATALOGUE, items: [{ ...CATALOGUE.items[0], bands: [sampleBand('A-1')] }] };
    expect(
      row(feedCsv(none, { ...shop, availability: undefined, availableFrom: undefined })),
    ).not.toHaveProperty('price');
  });

  it('stands in catalogue.csv with its currency, and is an Offer of schema.org', () => {
    expect(row(catalogueCsv(CATALOGUE))).toMatchObject({
      price: '2040.48',
      currency: 'EUR',
      tax: 'incl. 20 % VAT',
    });
    const { hasVariant } = JSON.parse(catalogueJsonLd(CATALOGUE, { shop }));
    expect(hasVariant[0].offers).toMatchObject({
      '@type': 'Offer',
      price: '2040.48',
      priceCurrency: 'EUR',
      availability: 'https://schema.org/BackOrder',
      priceSpecification: { valueAddedTaxIncluded: true },
    });
  });

  it('tells nowhere how it is made up', () => {
    const all = JSON.stringify(CATALOGUE) + catalogueCsv(CATALOGUE) + catalogueJsonLd(CATALOGUE, { shop });
    for (const secret of ['204.6', '516.3', 'markup', 'labour']) expect(all).not.toContain(secret);
  });
});

describe('price in the config', () => {
  const price = (text: string) => config({ price: `price: ${text}` });

  it('must name a rate for every alloy and stone that is used', async () => {
    const found = await problemsOf(
      price('{ currency: EUR, metals: { yellow-18: 62 /g }, stones: { diamond: { per-carat: 900 /ct } } }'),
    );
    expect(found.map((p) => [p.code, p.path, p.received])).toEqual([
      ['no-price', 'price.metals', 'none for white-18'],
      ['no-price', 'price.stones', 'none for ruby natural'],
    ]);
    expect(found[0].place?.line).toBeGreaterThan(1);
  });

  it('takes rates by origin, and refuses unknown currencies, units and steps', async () => {
    const rates =
      'metals: { yellow-18: 62 /g, white-18: 60 }, stones: { diamond: { natural: { per-carat: 900 } }, ruby: { per-piece: 4 } }';
    const { plan } = await planOf(price(`{ currency: CHF, ${rates} }`));
    expect(plan.price).toMatchObject({
      perGram: { 'yellow-18': 62 },
      step: 0.01,
      stones: { 'diamond natural': { perCarat: 900 } },
    });
    const codes = async (text: string) => (await problemsOf(price(text))).map((p) => p.path);
    expect(await codes(`{ currency: Taler, ${rates} }`)).toEqual(['price.currency']);
    expect(await codes(`{ currency: EUR, ${rates.replace('62 /g', '62 /oz')} }`)).toEqual([
      'price.metals.yellow-18',
    ]);
    expect(await codes(`{ currency: JPY, round-to: 0.5, ${rates} }`)).toEqual(['price.round-to']);
    expect(await codes(`{ currency: EUR, mass: as-cast, ${rates} }`)).toEqual(['price.mass']);
  });
});
