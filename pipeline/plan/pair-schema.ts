import * as z from 'zod';
import { bandWidth, metal, templateChange, writtenRingSize } from './grid-schema.ts';
import { match } from './match-schema.ts';
import { angle } from './measure.ts';
import { localName, oneOf, strict } from './strict-object.ts';

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

const otherBand = strict({
  size: writtenRingSize.optional().describe('ring size; the other band’s if left out'),
  width: bandWidth.optional().describe('the other band’s if left out'),
  metal: metal.optional(),
  stones: z.boolean().default(true).describe('false for a partner without stones'),
  ...partnerKeys,
  set: templateChange.optional(),
});

export const pair = strict({
  name: localName.default('pair').describe('ends the pair’s SKU'),
  when: match.optional().describe('variants that get a partner; all if left out'),
  partner: otherBand.describe('the other band: what is different about it'),
  third: otherBand
    .optional()
    .describe('a third band, worn beyond the partner’s: what is different from the first about it'),
  lay: oneOf(['apart', 'stacked', 'worn'])
    .optional()
    .describe(
      'how the pair shot lays them; stacked, edge on edge, if the partner is mirrored; worn, if there is a third: standing on one axis, touching',
    ),
}).refine(({ third, lay }) => !third || lay === undefined || lay === 'worn', {
  path: ['lay'],
  error: () => '"worn" for three bands: they stand on one axis, touching',
});
