import { z } from 'zod';
import { BENCH_LIMITS, BENCH_RULE_NAMES, type BenchLimit } from '../trade/bench-limits.ts';
import { CUT_NAMES, CUTS } from '../trade/cuts.ts';
import { LONE_TREATMENTS, TREATMENTS } from '../trade/declared-stone.ts';
import { readRingSize } from '../trade/ring-size.ts';
import { STONE_ORIGINS, STONES } from '../trade/stones.ts';
import { language, market, orders, price, proofs, workshop } from './client-schema.ts';
import { colour } from './colour.ts';
import { isSafeCatalogue } from './folder-name.ts';
import { angle, aperture, length, pixels, share } from './measure.ts';
import { credit, frames, glb, image, shop, watermark } from './output-schema.ts';
import type { ShotName } from './plan.ts';
import { localName, oneOf, printed, strict } from './strict-object.ts';
import { alloyName, stoneName } from './template-schema.ts';

export const VIEWS = [
  'three-quarter',
  'front',
  'flat-lay',
  'profile',
  'macro',
  'inside',
  'turntable',
  'pair',
] as const satisfies readonly ShotName[];

/** A word safe in file names on every system. */
const slug = z
  .string()
  .regex(/^[A-Za-z0-9](?:[A-Za-z0-9._-]{0,31})$/, {
    error: () =>
      'letters, digits, dots, hyphens and underscores, at most 32, starting with a letter or digit',
  })
  .describe('short form for SKUs');

const label = printed(60).describe('name in the catalogue');

/** Changes to the template, in the template's own keys. Checked when they are laid over it. */
export const templateChange = z.record(z.string(), z.unknown()).meta({ title: 'changes to the template' });

const ringSize = z
  .union([z.number(), z.string()], { error: () => 'a ring size such as "ISO 54" or "US 7 1/2"' })
  .transform((written, ctx) => {
    const reading = readRingSize(String(written));
    if ('size' in reading) return { ...reading.size, written: String(written) };
    const { code, expected, advice } = reading.problem;
    ctx.addIssue({ code: 'custom', message: expected, params: { code, expected, advice } });
    return z.NEVER;
  });

const bandWidth = length(1, 20);

const named = { label: label.optional(), slug: slug.optional(), set: templateChange.optional() };

const sizeValue = z.union([ringSize, strict({ value: ringSize, ...named })]);
const widthValue = z.union([bandWidth, strict({ value: bandWidth, ...named })]);

/** Lanes or rows by name, at least one of them. */
const byPart = <T extends z.ZodType>(value: T) =>
  z.record(localName, value).refine((r) => Object.keys(r).length > 0, { error: () => 'at least one entry' });

const metal = z.union([alloyName, byPart(alloyName)], {
  error: () => 'an alloy for all lanes, or a mapping of lanes to alloys',
});
const metalValue = z.union([alloyName, strict({ value: metal, ...named })]);

const originName = oneOf(STONE_ORIGINS);
const treatmentName = oneOf(TREATMENTS);
const treatments = z
  .union([treatmentName, z.array(treatmentName).min(1)], {
    error: () => `one of ${TREATMENTS.join(', ')}, or a list of them`,
  })
  .transform((written) => [...new Set([written].flat())])
  .refine((list) => list.length === 1 || !list.some((t) => LONE_TREATMENTS.includes(t)), {
    error: () => `${LONE_TREATMENTS.join(' or ')} alone, or treatments that were done`,
  });
const stoneOrNone = oneOf(['none', ...STONES.keys()]);
const stones = z.union([stoneOrNone, byPart(stoneName)], {
  error: () => 'a stone for all rows, "none", or a mapping of rows to stones',
});
const stoneValue = z.union([
  stoneOrNone,
  strict({
    value: stones,
    origin: originName.optional().describe('what these stones are, if it differs from origins above'),
    treatments: treatments.optional().describe('of these stones, if they differ from treatments above'),
    ...named,
  }),
]);

/** A supplier's figure for the stones that are bought. */
const stoneWeight = strict({
  stone: stoneName,
  cut: oneOf(CUT_NAMES).default('round-brilliant'),
  size: z
    .union([length(0.3, 20), z.tuple([length(0.3, 20), length(0.3, 20)])], {
      error: () => 'a diameter such as "1.3 mm", or [length along the row, width across it]',
    })
    .describe('diameter, or length along the row and width across it'),
  carats: z.number().positive().max(100).describe('of one stone'),
}).superRefine(({ cut, size }, ctx) => {
  const round = CUTS.get(cut)!.round;
  if (round === (typeof size === 'number')) return;
  ctx.addIssue({
    code: 'custom',
    path: ['size'],
    message: round ? `a diameter, since ${cut} is round` : `[length, width] of a ${cut}`,
  });
});

const freeValue = strict({ label, slug, set: templateChange });

/** Axes of the grid; any name beside the four known ones is an axis of template changes. */
const grid = z
  .object({
    size: z.array(sizeValue).min(1).describe('ring sizes, each marked by its system'),
    width: z.array(widthValue).min(1).optional().describe('widths of the band'),
    metal: z.array(metalValue).min(1).optional().describe('alloys of the lanes'),
    stone: z.array(stoneValue).min(1).optional().describe('stones of the rows'),
  })
  .catchall(z.array(freeValue).min(1));

const scalar = z.union([z.string(), z.number()], {
  error: () => 'the label, slug or value of an axis value',
});
const match = z
  .record(
    z.string(),
    z.union([scalar, z.array(scalar).min(1)], { error: () => 'a value or a list of values' }),
  )
  .refine((m) => Object.keys(m).length > 0, { error: () => 'at least one axis' })
  .describe('axis: value, or axis: [values]');

const frame = z
  .union([pixels(16, 8192), z.tuple([pixels(16, 8192), pixels(16, 8192)])], {
    error: () => 'pixels such as "720 px", or [width, height]',
  })
  .describe('width and height in pixels, one number for a square');

const lights = z
  .string()
  .min(1)
  .max(1000)
  .meta({ examples: ['soft-tent', 'side-window', 'edge-strips', 'pin-lights', 'dusk'] })
  .describe('a studio of "studios" below or of those that come along, or the path of a studio file');

/** A studio of the config's own. Checked when it is laid over what it is like. */
export const ownStudio = z.record(z.string(), z.unknown()).meta({ title: 'a studio' });

const studios = z
  .record(
    localName,
    z.union([z.string().min(1).max(1000), ownStudio], {
      error: () => 'a studio, or the path of a studio file',
    }),
  )
  .refine((r) => Object.keys(r).length <= 50, { error: () => 'at most 50 studios' })
  .default({})
  .describe(
    'studios of your own by name: a path, all of a studio’s keys, or changes to the one named by "like"',
  );

const GROUNDS = ['white', 'sweep', 'gloss', 'clear'] as const;
const ground = z
  .union(
    [
      oneOf(GROUNDS),
      strict({
        kind: oneOf(['sweep', 'gloss']),
        colour: colour.describe('what it reflects: "#rrggbb", or linear [red, green, blue]'),
      }),
    ],
    { error: () => 'white, sweep, gloss, clear, or a mapping of kind (sweep, gloss) and colour' },
  )
  .describe('white paper, a tinted sweep, dark gloss, or clear: no ground, its shadow in the alpha channel');

const scale = z
  .union([z.boolean(), length(2, 500)], {
    error: () => 'true, or the width of the frame such as "32 mm"',
  })
  .describe('true: all sizes of the catalogue in true proportion; a length: the frame’s width at the band');

const camera = {
  ground: ground.optional(),
  aperture: aperture.optional().describe('opening of the lens in mm or as an f-number; all is sharp without'),
  scale: scale.optional(),
};

const shot = z.union([
  oneOf(VIEWS),
  strict({
    name: localName.optional().describe('used in file names; the view if left out'),
    view: oneOf(VIEWS),
    lights: lights.optional(),
    frame: frame.optional(),
    ...camera,
    when: match.optional().describe('variants that get this shot; all if left out. For pairs: the left band'),
    frames: z.int().min(24).max(72).optional().describe('pictures of a turntable, 36 if left out'),
  }),
]);

/** How the partner's seams follow the other band's. */
const partnerKeys = {
  mirror: z
    .union(
      [
        z.boolean(),
        strict({
          turn: z
            .union([z.literal('half-wave'), angle(-360, 360)], {
              error: () => '"half-wave" or an angle such as "30 deg"',
            })
            .describe('how far the mirrored seams are turned; by half a wave they run on beside the others'),
        }),
      ],
      { error: () => 'true, false, or a mapping with "turn"' },
    )
    .default(false)
    .describe('true for a partner whose seams mirror the other band’s across the edges where they touch'),
  waves: oneOf(['keep', 'fit'])
    .optional()
    .describe('fit: as many whole waves as keep their length at the partner’s size; so if it is mirrored'),
};

const pair = strict({
  name: localName.default('pair').describe('ends the pair’s SKU'),
  when: match.optional().describe('variants that get a partner; all if left out'),
  partner: strict({
    size: ringSize.optional(),
    width: bandWidth.optional(),
    metal: metal.optional(),
    stones: z.boolean().default(true).describe('false for a partner without stones'),
    ...partnerKeys,
    set: templateChange.optional(),
  }),
  lay: oneOf(['apart', 'stacked'])
    .optional()
    .describe('how the pair shot lays them; stacked, edge on edge, if the partner is mirrored'),
});

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
  title: printed(120),
  workshop,
  language,
  market,
  template: z.string().min(1).max(1000).describe('name of a template, or a path from the config’s folder'),
  overrides: templateChange.optional(),
  origins: strict(Object.fromEntries([...STONES.keys()].map((id) => [id, originName.optional()])))
    .default({})
    .describe('what each stone used is; never guessed'),
  treatments: strict(Object.fromEntries([...STONES.keys()].map((id) => [id, treatments.optional()])))
    .default({})
    .describe('what was done to stones that usually are treated; never guessed'),
  'stone-weights': z
    .array(stoneWeight)
    .max(500)
    .default([])
    .describe('weights of your supplier’s own table, in place of the trade’s chart'),
  grid,
  skip: z.array(match).max(1000).default([]).describe('combinations that are not made'),
  pairs: z.array(pair).max(50).default([]),
  shots: z.array(shot).min(1).max(50),
  lights: lights.default('soft-tent').describe('lights of shots that name none'),
  studios,
  frame: frame.default([1200, 1200]).describe('frame of shots that give none'),
  ground: ground.default('white'),
  scale: scale.default(false),
  quality: strict({
    noise: share(0.002, 0.5).default(0.02).describe('relative standard error at which a tile is done'),
    passes: z.int().min(1).max(100_000).default(1000).describe('most passes'),
    seed: z.int().min(0).max(0xffffffff).default(1),
  }).prefault({}),
  watermark: watermark.optional(),
  credit: credit.optional(),
  shop: shop.optional(),
  price: price.optional(),
  orders,
  proofs,
  outputs: strict({
    images: z
      .array(image)
      .max(20)
      .default([{ format: 'webp', widths: [1200], quality: 86 }]),
    frames,
    files: z
      .string()
      .min(1)
      .max(120)
      .optional()
      .describe('pattern of picture files such as "{sku}-{shot}-{frame}-{width}"; also {output}'),
    glb: z
      .union([z.boolean(), glb], { error: () => 'true, false, or a mapping with "compression" and "each"' })
      .default(true),
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
  }).prefault({}),
  page: strict({
    checks: z
      .boolean()
      .default(false)
      .describe('also the bench checks, which are for the workshop rather than for clients'),
  })
    .prefault({})
    .describe('what the catalogue’s page shows'),
  bench: bench.prefault({}),
  sku: z
    .string()
    .min(1)
    .max(200)
    .optional()
    .describe('pattern such as "TW-{size}-{metal}"; braces name axes'),
});

export type Config = z.output<typeof configSchema>;
export type Match = z.output<typeof match>;
export type SizeValue = z.output<typeof sizeValue>;
export type WidthValue = z.output<typeof widthValue>;
export type MetalValue = z.output<typeof metalValue>;
export type StoneValue = z.output<typeof stoneValue>;
export type FreeValue = z.output<typeof freeValue>;
