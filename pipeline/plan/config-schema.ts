import * as z from 'zod';
import { BENCH_LIMITS, BENCH_RULE_NAMES, type BenchLimit } from '../trade/bench-limits.ts';
import { STONES } from '../trade/stones.ts';
import { language, market, ordersFile, price, proofs, workshop } from './client-schema.ts';
import { isSafeCatalogue } from './folder-name.ts';
import { grid, originName, slug, stoneWeight, templateChange, treatments } from './grid-schema.ts';
import { localText } from './local-text.ts';
import { match } from './match-schema.ts';
import { length, share } from './measure.ts';
import { credit, frames, glb, image, movie, shop, watermark } from './output-schema.ts';
import { pair } from './pair-schema.ts';
import { ENGINE_CHOICES } from './plan.ts';
import { frame, frameScale, ground, lights, shot, studios } from './shot-schema.ts';
import { localName, printed, strict } from './strict-object.ts';

const limitValue = ({ unit, about }: BenchLimit) =>
  (unit === 'mm' ? length(0, 10) : share(0, 1)).optional().describe(about);

const reason = printed(200).describe('why it may fail here');
const waiver = z.union([reason, strict({ reason, when: match.optional().describe('only there') })], {
  error: () => 'a reason, or a mapping with a reason',
});

/** How the bench judges: numbers of its own, and rules that may fail for a stated reason. */
const bench = strict({
  limits: strict(Object.fromEntries([...BENCH_LIMITS].map(([rule, limit]) => [rule, limitValue(limit)])))
    .default({})
    .describe('limits of bench rules in place of the usual ones'),
  waive: strict(Object.fromEntries(BENCH_RULE_NAMES.map((rule) => [rule, waiver.optional()])))
    .default({})
    .describe('bench rules that may fail, each with the reason'),
  spares: share(0, 1)
    .optional()
    .describe(
      'stones bought beside those that are set, as a share of each kind, rounded up; in lists of stones',
    ),
  quality: strict(
    Object.fromEntries(
      [...STONES.keys()].map((stone) => [
        stone,
        z.string().min(1).max(60).optional().describe('as the workshop grades it'),
      ]),
    ),
  )
    .optional()
    .describe('quality by stone, in the workshop’s words; in lists of stones only'),
});

const published = z
  .boolean()
  .default(false)
  .describe(
    'in the catalogue’s own folder, where anyone who sees the page can download them; else they lie in the private folder',
  );

const caster = strict({
  shrinkage: share(0, 0.1)
    .default(0)
    .describe('linear: files are this much larger than the casting is to be'),
  polish: length(0, 0.3).default(0).describe('metal left on outside, bore and faces'),
  sprue: share(0, 3).default(0).describe('metal cast besides the part, as a share of its mass'),
  publish: published,
});

/** A catalogue: one template, a grid of variants, and what is made of them. */
export const configSchema = strict({
  catalogue: slug
    .refine(isSafeCatalogue, {
      error: () =>
        'a name that ends in a letter, digit or underscore, not in "-private" or "-draft", and is none of a device such as "con"',
    })
    .describe('name of the folder that is written'),
  title: printed(120).describe('title of the catalogue’s page'),
  workshop,
  language,
  market,
  template: z.string().min(1).max(1000).describe('name of a template, or a path from the config’s folder'),
  overrides: templateChange.optional(),
  origins: strict(
    Object.fromEntries(
      [...STONES.keys()].map((id) => [id, originName.optional().describe('how it came to be')]),
    ),
  )
    .default({})
    .describe('what each stone used is; never guessed'),
  treatments: strict(
    Object.fromEntries(
      [...STONES.keys()].map((id) => [id, treatments.optional().describe('what was done to it')]),
    ),
  )
    .default({})
    .describe('what was done to stones that usually are treated; never guessed'),
  'stone-weights': z
    .array(stoneWeight)
    .max(500)
    .default([])
    .describe('weights of your supplier’s own table, in place of the trade’s chart'),
  grid,
  skip: z.array(match).max(1000).default([]).describe('combinations that are not made'),
  pairs: z.array(pair).max(50).default([]).describe('bands shown and offered with a partner’s band'),
  shots: z.array(shot).min(1).max(50).describe('views that are pictured'),
  lights: lights.default('soft-tent').describe('lights of shots that name none'),
  studios,
  frame: frame.default([1200, 1200]).describe('frame of shots that give none'),
  ground: ground.default('white').describe('what bands stand on in shots that name none'),
  scale: frameScale.default(false),
  quality: strict({
    noise: share(0.002, 0.5)
      .default(0.04)
      .describe(
        'grain at which a tile is done, colour included, as seen with neighbouring pixels blurred: as visible as so much more or less light on a mid grey',
      ),
    passes: z.int().min(1).max(100_000).default(1024).describe('most passes; powers of two use them best'),
    seed: z.int().min(0).max(0xffffffff).default(1).describe('another number, other grain'),
    filter: z
      .boolean()
      .default(true)
      .describe('whether grain is taken off metal and ground; false: pictures as they were traced'),
    engine: z
      .enum(ENGINE_CHOICES)
      .default('cpu')
      .describe(
        'what traces: the processor’s cores, the graphics card by WebGPU, or (auto) the card where a trial finds it faster',
      ),
  })
    .prefault({})
    .describe('when a picture is done, and what traces it'),
  watermark: watermark.optional().describe('on every picture of the catalogue'),
  credit: credit.optional().describe('written into every picture'),
  shop: shop.optional().describe('what product data and pages for the shop need'),
  price: price.optional().describe('your own rates; without them no price is told'),
  orders: ordersFile,
  proofs,
  outputs: strict({
    images: z
      .array(image)
      .max(20)
      .default([{ format: 'webp', widths: [1200], quality: 86 }])
      .describe('picture files'),
    frames,
    files: z
      .string()
      .min(1)
      .max(120)
      .optional()
      .describe('pattern of picture files such as "{sku}-{shot}-{frame}-{width}"; also {output}'),
    movies: z
      .array(movie)
      .max(6)
      .default([])
      .describe('films of turntables or of changing colourways, each with a still and captions'),
    glb: z
      .union([z.boolean(), glb], { error: () => 'true, false, or a mapping with "compression" and "each"' })
      .default(true)
      .describe('a 3D model of each shape for the web, all its colourways in it'),
    usdz: z.boolean().default(false).describe('a USDZ file for each band, for phones that take no GLB'),
    compare: z
      .array(localName)
      .min(1)
      .max(20)
      .optional()
      .describe(
        'shots whose pictures are laid beside drawings of the GLB, with the difference of the metal’s colour',
      ),
    sheets: z
      .union([z.boolean(), strict({ publish: published })], {
        error: () => 'true, false, or a mapping with "publish"',
      })
      .default(false)
      .describe('a bench sheet per band, as HTML and PDF'),
    caster: z
      .union([z.boolean(), caster], { error: () => 'true, false or a mapping of allowances' })
      .default(false)
      .describe('STL and 3MF per alloy part, and stone lists'),
    swatches: z
      .union(
        [
          z.boolean(),
          strict({ metals: z.boolean().describe('also a close-up of each metal in each finish worn') }),
        ],
        {
          error: () => 'true, false, or a mapping with "metals"',
        },
      )
      .default(false)
      .describe('a sheet of all colourways of each take, single swatches, and a table of colours'),
  })
    .prefault({})
    .describe('what is made'),
  page: strict({
    checks: z
      .boolean()
      .default(false)
      .describe('also the bench checks, which are for the workshop rather than for clients'),
    names: z
      .record(localName, localText(60))
      .default({})
      .describe('what lanes and rows are called for readers, by their names in the template'),
  })
    .prefault({})
    .describe('what the catalogue’s page shows'),
  bench: bench.prefault({}).describe('how the bench judges, and what it buys'),
  sku: z
    .string()
    .min(1)
    .max(200)
    .optional()
    .describe('pattern such as "TW-{size}-{metal}"; braces name axes'),
});

export type Config = z.output<typeof configSchema>;
