import * as z from 'zod';
import { LETTER_STYLES } from './engraving-design.ts';
import { angle, length, widthMeasure } from './measure.ts';
import { oneOf, printed, strict } from './strict-object.ts';

/** A mark, or `none` to leave out one that a template has. */
const orNone = <T extends z.ZodType>(mark: T, what: string) =>
  z.union([z.literal('none'), mark], { error: () => `"none" or a mapping for ${what}` }).optional();

const milgrain = strict({
  bead: length(0.15, 1).default(0.35).describe('diameter of a bead'),
  pitch: length(0.15, 3)
    .optional()
    .describe('least distance between the middles of beads; 1.06 of the bead if left out'),
});

const seamMilgrain = strict({
  ...milgrain.shape,
  lane: z
    .string()
    .optional()
    .describe('which of the two lanes carries the beads; the higher one if left out'),
});

const groove = strict({
  width: length(0.1, 3).default(0.4).describe('between the rims, square to the seam'),
  depth: length(0.03, 1.5).default(0.2).describe('of its bottom below the surface'),
  profile: oneOf(['v', 'round']).default('v').describe('form of its bottom'),
});

/** Keys that every kind of seam takes. */
export const seamMarks = {
  milgrain: orNone(seamMilgrain, 'milgrain').describe('a line of beads beside the seam'),
  groove: orNone(groove, 'groove').describe('cut along the seam in place of the softening there'),
};

const letters = {
  text: z
    .union([printed(80), z.tuple([printed(80), printed(80)])], {
      error: () => 'one line of text, or a list of two',
    })
    .optional()
    .describe('one line or two; if left out nothing is cut but what an order says, in this place'),
  drawing: z
    .string()
    .min(1)
    .max(100_000)
    .optional()
    .describe(
      'closed outlines in place of letters, such as a couple’s handwriting: an SVG file beside this one, or path data; text is then what it is called',
    ),
  height: length(0.4, 8).default(1.2).describe('of capitals, or of the whole drawing'),
  depth: length(0.03, 1).default(0.15).describe('of the cut, square to the surface'),
  walls: angle(0, 50)
    .optional()
    .describe(
      'lean of the cut’s walls from square to the surface, 15 deg if left out; where they meet the cut is less deep',
    ),
  font: oneOf(LETTER_STYLES)
    .default('regular')
    .describe('style of the lettering: Source Sans 3, and Pacifico for script'),
  across: widthMeasure()
    .optional()
    .describe('middle of the capitals from the first edge; the middle of the band or lane if left out'),
  heads: oneOf(['first', 'second'])
    .optional()
    .describe(
      'edge that the heads of the letters stand towards; if left out the second in the bore, the first outside',
    ),
};

export const engraving = strict({
  inside: orNone(
    strict({
      ...letters,
      at: angle(-360, 360).optional().describe('angle of the middle from the top; 180 deg if left out'),
    }),
    'an engraving',
  ).describe('in the bore'),
  outside: orNone(
    strict({
      ...letters,
      lane: z.string().describe('the lane it is cut into'),
      follow: oneOf(['band', 'lane'])
        .default('band')
        .describe(
          'whether the line runs along with the middle of the band or that of its lane, as on a wave',
        ),
      at: angle(-360, 360).optional().describe('angle of the middle from the top; 0 if left out'),
    }),
    'an engraving',
  ).describe('on a lane'),
}).describe('letters cut into the metal');

export const edges = strict({
  milgrain: orNone(milgrain, 'milgrain').describe('a line of beads inside both outside edges'),
}).describe('what runs along the outside edges of the band');
