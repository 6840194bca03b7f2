import * as z from 'zod';
import { ALLOYS } from '../trade/alloys.ts';
import { CUT_NAMES } from '../trade/cuts.ts';
import { FINISHES } from '../trade/finishes.ts';
import { STONES } from '../trade/stones.ts';
import { gapSchema } from './gap-schema.ts';
import { edges, engraving, seamMarks } from './marks-schema.ts';
import { angle, length, share } from './measure.ts';
import { outlineSchema } from './outline-schema.ts';
import { grainSchema, layersSchema } from './pattern-schema.ts';
import type { SeamKindName } from './seam-design.ts';
import { SEAM_KIND_NAMES, SEAM_KINDS } from './seam-kinds.ts';
import { flatSchema, sectionSchema, taperSchema } from './section-schema.ts';
import { SETTING_KINDS, SETTING_STYLES, type SettingStyle } from './setting-kinds.ts';
import { strandsSchema } from './strands-schema.ts';
import { localName, oneOf, printed, quotedChoice, strict } from './strict-object.ts';
import { textureSchema } from './texture-schema.ts';

export const alloyName = oneOf([...ALLOYS.keys()]).describe('an alloy of the trade table');
export const finishName = oneOf([...FINISHES.keys()]).describe('a finish of the trade table');
export const stoneName = oneOf([...STONES.keys()]).describe('a stone of the trade table');

const hammer = strict({
  facet: length(0.5, 4).default(1.6).describe('diameter of one mark'),
  depth: length(0.005, 0.2).default(0.05).describe('depth of a mark’s middle'),
  seed: z.int().min(0).max(999999).default(1).describe('another number, other marks'),
}).describe('overlapping marks of a domed hammer, as real facets of the lane');

const inlay = strict({
  depth: length(0.2, 4).describe('depth of the channel’s floor below the section’s outer surface'),
  bed: z
    .string()
    .optional()
    .describe(
      'the lane beside it whose metal runs on beneath; may be left out where the lanes on both sides have one alloy',
    ),
}).describe('a strip let into a channel of the lane beside it; without it a lane goes through to the bore');

const facets = strict({
  count: z.int().min(6).max(240).describe('facets round the band'),
  depth: length(0.005, 1).describe('how far a facet’s middle lies below the lane where that stands highest'),
  slant: angle(0, 30)
    .default(0)
    .describe('angle by which facets lean, by turns, to the one edge and to the other'),
}).describe('flat cuts round the lane, evenly spaced');

const lane = strict({
  alloy: alloyName.optional().describe('alloy if the metal axis says nothing'),
  finish: finishName.default('polished'),
  recess: length(0, 2).default(0).describe('depth below the section’s outer surface'),
  soften: length(0, 1).default(0.2).describe('radius where the lane meets a seam'),
  hammer: hammer.optional(),
  texture: textureSchema.optional(),
  facets: facets.optional(),
  inlay: inlay.optional(),
  layers: layersSchema.optional(),
  grain: grainSchema.optional(),
});

/** All kinds take the same marks. */
const seamSchema = <K extends SeamKindName, Keys extends z.ZodRawShape>(kind: K, keys: Keys) =>
  strict({ kind: z.literal(kind).describe(SEAM_KINDS[kind].about), ...keys, ...seamMarks });

type SeamSchema = {
  [K in SeamKindName]: ReturnType<typeof seamSchema<K, (typeof SEAM_KINDS)[K]['keys']>>;
}[SeamKindName];

const seamSchemas = SEAM_KIND_NAMES.map((kind) => seamSchema(kind, SEAM_KINDS[kind].keys));

const seam = z.discriminatedUnion('kind', seamSchemas as [SeamSchema, ...SeamSchema[]], {
  error: () => `a seam of kind ${quotedChoice(SEAM_KIND_NAMES)}`,
});

const coverage = z
  .union([oneOf(['full', 'half', 'third']), angle(1, 360), z.array(angle(-360, 360)).min(1).max(60)], {
    error: () => '"full", "half", "third", an angle such as "200 deg", or a list of angles',
  })
  .describe(
    'how far round the band the row reaches, centred on the top; or the angles of its stones from the top',
  );

const settingSchema = <S extends SettingStyle, Keys extends z.ZodRawShape>(style: S, keys: Keys) =>
  strict({ style: z.literal(style).describe(SETTING_KINDS[style].about), ...keys });

type SettingSchema = {
  [S in SettingStyle]: ReturnType<typeof settingSchema<S, (typeof SETTING_KINDS)[S]['keys']>>;
}[SettingStyle];

const settingSchemas = SETTING_STYLES.map((style) => settingSchema(style, SETTING_KINDS[style].keys));

const setting = z
  .union([z.literal('none'), ...(settingSchemas as [SettingSchema, ...SettingSchema[]])], {
    error: () => `"none" or a mapping with style ${quotedChoice(SETTING_STYLES)}`,
  })
  .describe('what holds the stones; none: seats alone');

const otherStone = {
  stone: stoneName.optional().describe('the row’s own stone, whatever that is, if left out'),
  cut: oneOf(CUT_NAMES).optional().describe('as the row'),
  length: length(0.5, 12).optional().describe('along the row; as the row, or the cut’s usual proportion'),
};
const diameter = length(0.5, 8);

const alternate = z
  .array(strict({ ...otherStone, diameter: diameter.optional().describe('as the row') }))
  .min(1)
  .max(3)
  .describe('stones that take turns with the row’s own; colours may be given to them as <row>-2, <row>-3 …');

const centre = strict({ ...otherStone, diameter: diameter.describe('width across the row') }).describe(
  'one stone in the middle of the row that differs; its colour may be given as <row>-centre',
);

const graduate = strict({
  to: diameter.describe('diameter at the ends of the row, or opposite the top of a full one'),
  through: z
    .array(diameter)
    .min(1)
    .max(12)
    .optional()
    .describe('diameters on the way, evenly spread: sizes need not only fall'),
  step: length(0.01, 0.5).default(0.05).describe('diameters are whole steps of this'),
  from: z
    .enum(['middle', 'start'])
    .default('middle')
    .describe('middle: alike to both ends; start: one way, from the first stone of an open row to its last'),
}).describe('sizes that change evenly from the middle of the row outwards, or one way along it');

const stagger = strict({
  apart: length(0.3, 8).describe('from line to line; closest are 0.87 times diameter and least-gap together'),
  lines: z.int().min(2).max(5).default(2).describe('how many lines; with three and more, grains are shared'),
}).describe('lines of stones, each set into the gaps of the one before');

const row = strict({
  lane: z.string().describe('the lane whose middle it follows'),
  offset: length(-10, 10)
    .default(0)
    .describe(
      'from the middle of the lane, towards the second edge: for several rows in one lane; of a side face, outwards',
    ),
  side: oneOf(['outside', 'bore', 'first-edge', 'second-edge', 'both-edges'])
    .default('outside')
    .describe(
      'bore: stones set flush inside the band, in closed seats, such as one at 180 deg; an edge: set flush into the side face there, both-edges: as <row> and <row>-2',
    ),
  stone: stoneName.default('diamond').describe('stone if the stone axis says nothing'),
  cut: oneOf(CUT_NAMES).default('round-brilliant').describe('how the stones are cut'),
  diameter: length(0.5, 8).describe('width across the row; the diameter of round cuts'),
  length: length(0.5, 12)
    .optional()
    .describe('length along the row, for cuts that are not round; the cut’s usual proportion if left out'),
  'narrow-end': oneOf(['outwards', 'inwards'])
    .default('outwards')
    .describe(
      'of pears, trilliants and tapered baguettes: away from the top of the band, or towards its second edge where they lie across the row; inwards: the other way',
    ),
  coverage: coverage.default('full'),
  count: z
    .union([z.literal('fit'), z.int().min(1).max(400)], { error: () => '"fit" or a whole number' })
    .default('fit')
    .describe('how many stones; fit: as many as there is room for'),
  'least-gap': length(0, 3).default(0.12).describe('least distance between neighbouring girdles'),
  'set-depth': length(-8, 3)
    .optional()
    .describe(
      'depth of the girdle plane below the lane, 0.1 mm if left out; negative is proud; not for flush',
    ),
  hole: share(0, 0.95).default(0.6).describe('through-hole under a stone, as a share of its diameter'),
  azure: share(0, 1)
    .optional()
    .describe(
      'how wide holes open at the bore at most, as a share of the stone’s diameter; 0 for straight ones; 85 % with claws and grains, straight with others if left out',
    ),
  floor: length(0.1, 3)
    .optional()
    .describe('metal left above the bore under the holes; they go right through if left out'),
  alternate: alternate.optional(),
  centre: centre.optional(),
  graduate: graduate.optional(),
  stocked: z
    .array(diameter)
    .min(1)
    .max(60)
    .optional()
    .describe('diameters that the workshop stocks: a graduated row takes the nearest, others are refused'),
  stagger: stagger.optional(),
  setting,
});

const named = <T extends z.ZodType>(value: T, most: number) =>
  z.record(localName, value).refine((r) => Object.keys(r).length <= most, {
    error: () => `at most ${most} entries`,
  });

const figure = z
  .union([z.number(), z.string().min(1).max(200)], {
    error: () => 'a figure such as "0.5 mm", a formula, or a word',
  })
  .describe('mm, deg, % or a bare number; a formula; or one of the words');

const chosen = z
  .union([
    figure,
    strict({
      value: figure.optional().describe('the middle of the limits or the first of the words, if left out'),
      from: figure.optional().describe('least'),
      to: figure.optional().describe('most'),
      'one-of': z.array(localName).min(1).max(20).optional().describe('words, in place of limits'),
      about: z.string().max(200).optional().describe('what it is, for those who choose'),
    }),
  ])
  .describe('a figure, its limits ("0.3 mm .. 0.9 mm"), both ("0.5 mm in 0.3 mm .. 0.9 mm"), or a mapping');

/** A band design: what a template file holds, and what overrides and axis values change. */
export const templateSchema = strict({
  title: printed(80).describe('what the band is called'),
  about: z.string().max(2000).optional().describe('a few words about it'),
  section: sectionSchema,
  width: length(1, 20).describe('along the finger'),
  thickness: length(0.6, 6).describe('radial, at mid-width or at the crest'),
  taper: taperSchema.optional(),
  outline: outlineSchema.optional(),
  flat: flatSchema.optional(),
  let: named(chosen, 20)
    .default({})
    .describe(
      'what can be chosen, by name, for formulas such as "0.5 * (swing + 0.1 mm)"; each may have limits',
    ),
  sets: named(z.looseObject({}), 20)
    .default({})
    .describe('what several lanes or rows have in common: "as" in a lane or row takes it over'),
  lanes: named(lane, 9).describe('parts of the band from one edge to the other, in order'),
  seams: named(seam, 8).default({}).describe('curves between the lanes, in order: one fewer than lanes'),
  rows: named(row, 4).default({}).describe('rows of stones'),
  strands: strandsSchema.optional(),
  gaps: named(gapSchema, 4).default({}).describe('where the band is parted'),
  engraving: engraving.optional(),
  edges: edges.optional(),
  'chord-tolerance': length(0.0005, 0.1).default(0.005).describe('largest distance from the true surface'),
});

export type Template = z.output<typeof templateSchema>;
