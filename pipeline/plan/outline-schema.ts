import * as z from 'zod';
import { angle, length, share, widthMeasure } from './measure.ts';
import { SEAM_KINDS } from './seam-kinds.ts';
import { oneOf, quotedChoice, strict } from './strict-object.ts';

/** Kinds of seams that an outline may run like. A straight one is a band without an outline. */
const RUNS = ['wave', 'peak', 'drift', 'points'] as const;

const error = () => `a mapping of kind ${quotedChoice(RUNS)}`;

/** The keys of seams, but with a place that need not be written. */
function runSchema(share: number, about: string) {
  const at = widthMeasure().default({ share, mm: 0 }).describe(about);
  const { wave, peak, drift, points } = SEAM_KINDS;
  return z.discriminatedUnion(
    'kind',
    [
      strict({ kind: z.literal('wave').describe(wave.about), ...wave.keys, at }),
      strict({ kind: z.literal('peak').describe(peak.about), ...peak.keys, at }),
      strict({ kind: z.literal('drift').describe(drift.about), ...drift.keys }),
      strict({ kind: z.literal('points').describe(points.about), ...points.keys }),
    ],
    { error },
  );
}

const around = strict({
  head: length(2, 20).describe('diameter of the other ring’s head as seen from above'),
  shank: length(1, 12).default(2).describe('width of the other ring’s shank, which lies along the edge'),
  gap: length(0, 2).default(0.1).describe('least distance between the head and the band'),
  edge: oneOf(['first', 'second']).default('first').describe('edge that the other ring lies against'),
  span: angle(20, 340)
    .optional()
    .describe('how far round the band it turns aside; what suits the head if left out'),
  roundness: share(0.1, 1).default(1).describe('100 % is an arch; the less, the sharper the V'),
}).describe('the head of a ring that the band lies against and runs round; it decides the middle line');

export const outlineSchema = strict({
  middle: runSchema(0.5, 'distance of the middle line from the first edge')
    .optional()
    .describe('how the middle line runs; all places across the band are measured from it'),
  around: around.optional(),
  width: runSchema(1, 'the width where it does not swing: mm, a share of the band’s width, or share ± mm')
    .optional()
    .describe('how the width changes round the band; its places are widths'),
  measured: oneOf(['square', 'finger'])
    .default('square')
    .describe(
      'whether widths are square to the middle line, or along the finger: then one edge fits into the other',
    ),
}).describe('where the edges of the band run, if not level');

export type OutlineFields = z.output<typeof outlineSchema>;
