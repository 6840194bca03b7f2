import * as z from 'zod';
import { ALLOYS } from '../trade/alloys.ts';
import { MARKETS, PAPER_FORMATS } from '../trade/market.ts';
import { isCurrency } from '../trade/money.ts';
import { STONE_ORIGINS, STONES } from '../trade/stones.ts';
import { LANGUAGES } from '../trade/words.ts';
import { localText } from './local-text.ts';
import { share } from './measure.ts';
import { watermark, webAddress } from './output-schema.ts';
import { oneOf, printed, strict } from './strict-object.ts';

/** What concerns the client: who offers, in which language, at what price, and the proofs that are sent. */

const line = printed(120);

/** The maker: a name, or a letterhead for what is sent to clients. */
export const workshop = z
  .union(
    [
      line,
      strict({
        name: line.describe('maker named in the catalogue'),
        address: z.array(line).max(6).default([]).describe('lines of the postal address'),
        phone: printed(40).optional().describe('on proofs'),
        email: z
          .email({ error: () => 'an e-mail address' })
          .max(200)
          .optional()
          .describe('on proofs; couples’ replies go there'),
        website: webAddress.optional().describe('on proofs'),
        logo: z
          .string()
          .min(1)
          .max(1000)
          .optional()
          .describe('SVG, PNG or JPEG file, from the config’s folder; on proofs'),
        'small-print': localText(1200).optional().describe('terms printed at the foot of proofs'),
      }),
    ],
    { error: () => 'the workshop’s name, or a mapping of name, address, phone, email, website, logo' },
  )
  .describe('maker named in the catalogue');

export const language = oneOf(LANGUAGES)
  .default('en')
  .describe('of everything that is written beside your own words');

export const market = oneOf([...MARKETS.keys()])
  .optional()
  .describe('country of your clients (ISO 3166-1): ring sizes, paper and the form of numbers and dates');

const money = z.number().nonnegative().max(10_000_000);

/** A rate: `62 /g`, or the bare number. */
const rate = (unit: string) =>
  z
    .union([z.number(), z.string()], { error: () => `a price such as "62 /${unit}"` })
    .transform((written, ctx) => {
      const m =
        typeof written === 'number'
          ? null
          : new RegExp(`^\\s*(\\d+(?:\\.\\d+)?)\\s*(?:/\\s*${unit})?\\s*$`).exec(written);
      const value = typeof written === 'number' ? written : Number(m?.[1] ?? Number.NaN);
      if (value > 0 && value <= 10_000_000) return value;
      ctx.addIssue({
        code: 'custom',
        message: `a price such as "62 /${unit}"`,
        params: {
          code: 'wrong-unit',
          expected: `a price above zero, such as "62 /${unit}"`,
          advice: `Write it with a decimal point, per ${unit}, in the currency named beside it.`,
        },
      });
      return z.NEVER;
    });

const stoneRate = strict({
  'per-carat': rate('ct').optional().describe('metric carat, of the computed total weight'),
  'per-piece': rate('piece').optional().describe('of each stone'),
}).refine((r) => (r['per-carat'] === undefined) !== (r['per-piece'] === undefined), {
  error: () => 'either per-carat or per-piece',
});

const stonePrice = z.union(
  [
    stoneRate,
    strict(
      Object.fromEntries(
        STONE_ORIGINS.map((o) => [o, stoneRate.optional().describe('of stones of this origin')]),
      ),
    ),
  ],
  { error: () => 'per-carat or per-piece, or these by origin: natural, laboratory-grown, simulant' },
);

/** Every figure is the maker's own: there are no prices in this program. */
export const price = strict({
  currency: z
    .string()
    .refine(isCurrency, { error: () => 'a currency code of ISO 4217 such as "EUR"' })
    .describe('ISO 4217'),
  mass: oneOf(['finished', 'as-cast'])
    .default('finished')
    .describe('metal that is charged: of the finished band, or as cast with its polishing allowance'),
  loss: share(0, 0.5).default(0).describe('metal lost at the bench, charged beside that mass'),
  metals: strict(
    Object.fromEntries([...ALLOYS.keys()].map((id) => [id, rate('g').optional().describe('a gram')])),
  ).describe('per gram of each alloy'),
  stones: strict(
    Object.fromEntries(
      [...STONES.keys()].map((id) => [id, stonePrice.optional().describe('of any origin, or by origin')]),
    ),
  )
    .default({})
    .describe('per carat or per piece'),
  labour: strict({
    fixed: money.default(0).describe('per band'),
    'per-stone': money.default(0).describe('setting, per stone'),
  })
    .prefault({})
    .describe('work'),
  markup: share(0, 1).default(0).describe('added to the sum of metal, stones and labour'),
  tax: strict({
    name: localText(30).describe('as it is named to clients, such as "VAT"'),
    rate: share(0, 0.5).describe('of the price before tax'),
    included: z.boolean().default(true).describe('whether prices are told with it'),
  })
    .optional()
    .describe('tax that clients are told'),
  'round-to': z
    .number()
    .positive()
    .max(1000)
    .optional()
    .describe(
      'prices are multiples of this, the nearest one, halves up; the currency’s smallest unit if left out',
    ),
});

/** ISO 8601 calendar date. */
export const isoDate = z.iso.date({ error: () => 'a date such as "2026-12-31"' });

/** Papers for clients. */
export const proofs = z
  .union(
    [
      z.boolean(),
      strict({
        pairs: z.boolean().default(true).describe('a proof for every pair, without names'),
        paper: z.array(oneOf(PAPER_FORMATS)).min(1).max(2).optional().describe('the market’s if left out'),
        options: z.array(localText(160)).max(12).default([]).describe('lines of your own to be ticked'),
        expires: isoDate.optional().describe('last day of the offer, for proofs that no order dates'),
        deposit: share(0, 1).optional().describe('share of the total that is paid with the order'),
        terms: localText(1200)
          .optional()
          .describe('what holds for custom work, changes and withdrawal, in words that a lawyer has read'),
        watermark: z
          .union([z.literal(false), watermark], { error: () => 'false, or a watermark of its own' })
          .optional()
          .describe('on pictures in proofs; the catalogue’s if left out'),
      }),
    ],
    { error: () => 'true, false or a mapping' },
  )
  .default(false)
  .describe('papers for clients, in a private folder beside the catalogue');

export const ordersFile = z
  .string()
  .min(1)
  .max(1000)
  .optional()
  .describe('CSV file of orders, from the config’s folder; a proof is made for each');
