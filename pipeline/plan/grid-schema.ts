import * as z from 'zod';
import { isRefused } from '../problem.ts';
import { CUT_NAMES, CUTS } from '../trade/cuts.ts';
import { LONE_TREATMENTS, TREATMENTS } from '../trade/declared-stone.ts';
import { readRingSize } from '../trade/read-ring-size.ts';
import { STONE_ORIGINS, STONES } from '../trade/stones.ts';
import { length } from './measure.ts';
import { localName, oneOf, printed, strict } from './strict-object.ts';
import { alloyName, stoneName } from './template-schema.ts';

/** A word safe in file names on every system. */
export const slug = z
  .string()
  .regex(/^[A-Za-z0-9](?:[A-Za-z0-9._-]{0,31})$/, {
    error: () =>
      'letters, digits, dots, hyphens and underscores, at most 32, starting with a letter or digit',
  })
  .describe('short form for SKUs');

const label = printed(60).describe('name in the catalogue');

/** Changes to the template, in the template's own keys. Checked when they are laid over it. */
export const templateChange = z.record(z.string(), z.unknown()).meta({ title: 'changes to the template' });

export const writtenRingSize = z
  .union([z.number(), z.string()], { error: () => 'a ring size such as "ISO 54" or "US 7 1/2"' })
  .transform((written, ctx) => {
    const reading = readRingSize(String(written));
    if (!isRefused(reading)) return { ...reading, written: String(written) };
    const [{ code, expected, advice }] = reading.problems;
    ctx.addIssue({ code: 'custom', message: expected, params: { code, expected, advice } });
    return z.NEVER;
  })
  .describe('with its system, such as "ISO 54" or "US 7 1/2"');

export const bandWidth = length(1, 20);

const named = { label: label.optional(), slug: slug.optional(), set: templateChange.optional() };

const sizeValue = z.union([writtenRingSize, strict({ value: writtenRingSize, ...named })]);
const widthValue = z.union([bandWidth, strict({ value: bandWidth.describe('along the finger'), ...named })]);

/** Lanes or rows by name, at least one of them. */
const byPart = <T extends z.ZodType>(value: T) =>
  z.record(localName, value).refine((r) => Object.keys(r).length > 0, { error: () => 'at least one entry' });

export const metal = z.union([alloyName, byPart(alloyName)], {
  error: () => 'an alloy for all lanes, or a mapping of lanes to alloys',
});
const metalValue = z.union([alloyName, strict({ value: metal, ...named })]);

export const originName = oneOf(STONE_ORIGINS);
const treatmentName = oneOf(TREATMENTS);
export const treatments = z
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
    value: stones.describe('for all rows, or by row'),
    origin: originName.optional().describe('what these stones are, if it differs from origins above'),
    treatments: treatments.optional().describe('of these stones, if they differ from treatments above'),
    ...named,
  }),
]);

/** A supplier's figure for the stones that are bought. */
export const stoneWeight = strict({
  stone: stoneName,
  cut: oneOf(CUT_NAMES).default('round-brilliant').describe('how it is cut'),
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
export const grid = z
  .object({
    size: z.array(sizeValue).min(1).describe('ring sizes, each marked by its system'),
    width: z.array(widthValue).min(1).optional().describe('widths of the band'),
    metal: z.array(metalValue).min(1).optional().describe('alloys of the lanes'),
    stone: z.array(stoneValue).min(1).optional().describe('stones of the rows'),
  })
  .catchall(z.array(freeValue).min(1))
  .describe('axes: every value of one is made with every value of the others');

export type SizeValue = z.output<typeof sizeValue>;
export type WidthValue = z.output<typeof widthValue>;
export type MetalValue = z.output<typeof metalValue>;
export type StoneValue = z.output<typeof stoneValue>;
export type FreeValue = z.output<typeof freeValue>;
