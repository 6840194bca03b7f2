import * as z from 'zod';
import type { GapDesign } from './gap-design.ts';
import { angle, fromFarEdge, length, widthMeasure } from './measure.ts';
import { oneOf, quotedChoice, strict } from './strict-object.ts';

const width = length(0.2, 20).describe('of the gap, at the outside');
const soften = length(0.05, 1).default(0.2).describe('radius of its rims at the outside and at the bore');
const round = length(0.1, 8).describe('radius of the ends’ corners, seen from outside');
const at = (usual: string) =>
  angle(-180, 180).describe(`of the gap’s middle from the top; ${usual} if left out`);
const span = angle(15, 200).describe('how far round the band it reaches');

export const gapSchema = z
  .discriminatedUnion(
    'kind',
    [
      strict({
        kind: z.literal('open').describe('the band ends on both sides of it: an open back, a cuff'),
        at: at('180 deg').default(Math.PI),
        width,
        round,
        soften,
      }),
      strict({
        kind: z.literal('split').describe('two strands part and meet again'),
        at: at('0 deg').default(0),
        span,
        width,
        across: widthMeasure()
          .default({ share: 0.5, mm: 0 })
          .describe('distance of its middle line from the first edge'),
        bridges: strict({
          count: z.int().min(1).max(8).describe('how many, evenly over its span'),
          width: length(0.4, 5).default(1.2).describe('of each where it is narrowest, its rims with it'),
        })
          .optional()
          .describe('bars of the band’s own metal from strand to strand'),
        soften,
      }),
      strict({
        kind: z.literal('bypass').describe('the two ends pass each other side by side'),
        at: at('0 deg').default(0),
        span,
        width,
        round,
        from: oneOf(['first', 'second'])
          .default('first')
          .describe(
            'edge at which the gap begins, left of its middle as seen from outside with the first edge above',
          ),
        soften,
      }),
    ],
    { error: () => `a mapping of kind ${quotedChoice(['open', 'split', 'bypass'])}` },
  )
  .describe('where the band is parted, all through to the bore');

export type GapFields = z.output<typeof gapSchema>;

/** A gap at a band whose outside has that radius: one opening, or several with bars between them. */
export function gapDesign(name: string, gap: GapFields, radiusMm: number): GapDesign[] {
  const whole = openingDesign(name, gap);
  if (whole.kind !== 'split' || gap.kind !== 'split' || !gap.bridges) return [whole];
  const { count, width: bar } = gap.bridges;
  const barRad = bar / radiusMm;
  const pitch = (whole.spanRad + barRad) / (count + 1);
  const spanRad = pitch - barRad;
  return Array.from({ length: count + 1 }, (_, i) => ({
    ...whole,
    spanRad,
    atRad: whole.atRad + (i - count / 2) * pitch,
  }));
}

function openingDesign(name: string, gap: GapFields): GapDesign {
  const any = { name, atRad: gap.at, widthMm: gap.width, softenMm: gap.soften };
  switch (gap.kind) {
    case 'open':
      return { kind: 'open', ...any, roundMm: gap.round };
    case 'split':
      return { kind: 'split', ...any, spanRad: gap.span, across: gap.across };
    case 'bypass':
      return { kind: 'bypass', ...any, spanRad: gap.span, roundMm: gap.round, from: gap.from };
  }
}

/** The gap of a partner whose edges have changed places. */
export function mirroredGap(gap: GapFields): GapFields {
  switch (gap.kind) {
    case 'open':
      return gap;
    case 'split':
      return { ...gap, across: fromFarEdge(gap.across) };
    case 'bypass':
      return { ...gap, from: gap.from === 'first' ? 'second' : 'first' };
  }
}
