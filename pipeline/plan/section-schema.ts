import * as z from 'zod';
import { SECTION_NAMES } from './design.ts';
import { angle, length, widthMeasure } from './measure.ts';
import { oneOf, strict } from './strict-object.ts';

const sectionName = oneOf(SECTION_NAMES);

/** A length for both edges, or one for each. */
const eitherEdge = (min: number, max: number) =>
  z.union([length(min, max), z.tuple([length(min, max), length(min, max)])], {
    error: () => 'a length in mm such as "0.2 mm", or a list of two: first edge, second edge',
  });

const fall = {
  angle: angle(1, 75).optional().describe('from level'),
  drop: length(0.02, 5).optional().describe('in place of the angle: how much lower the outside ends'),
};

const bevel = strict({
  width: widthMeasure()
    .default({ share: 0.2, mm: 0 })
    .describe('of each chamfer along the finger: mm, a share of the width, or share ± mm'),
  ...fall,
  round: length(0.01, 1).default(0.15).describe('radius of the corners between chamfers and top'),
}).describe('the chamfers of the bevelled section');

const ridge = strict({
  ...fall,
  round: length(0.01, 3).default(0.15).describe('radius of the ridge'),
}).describe('the flats of the knife-edge section and the ridge between them');

const step = strict({
  width: length(0.2, 6).describe('from the edge to the riser, along the finger'),
  depth: length(0.05, 3).describe('of the shoulder below the outside beside it'),
  soften: length(0, 1).default(0.13).describe('radius at the top of the riser and of the hollow at its foot'),
  edges: oneOf(['both', 'first', 'second']).default('both').describe('which edges have one'),
}).describe('a lower, level shoulder along the edges; the outside ends at its riser');

const section = strict({
  name: sectionName.describe('its form'),
  dome: eitherEdge(0, 3)
    .optional()
    .describe(
      'how much lower the outside lies at its edges (d, court) or at the crest (concave); a list of two tells the edges apart',
    ),
  crest: widthMeasure()
    .optional()
    .describe(
      'distance of the highest place (concave: lowest; bevelled: the top’s middle) from the first edge',
    ),
  bevel: bevel.optional(),
  ridge: ridge.optional(),
  step: step.optional(),
  comfort: length(0, 2).optional().describe('how much the bore opens towards its edges (not for flat and d)'),
  edge: eitherEdge(0, 2)
    .default(0.2)
    .describe('radius of the outside edges; a list of two tells the first edge from the second'),
  'bore-edge': length(0, 1).default(0.15).describe('radius of the bore edges'),
});

export const sectionSchema = z
  .union([sectionName, section], { error: () => 'a section name or a mapping with a name' })
  .transform((s) => (typeof s === 'string' ? section.parse({ name: s }) : s))
  .describe('cross-section');

export const taperSchema = strict({
  width: widthMeasure().optional().describe('at the back: mm, a share of the band’s width, or share ± mm'),
  thickness: length(0.6, 6).optional().describe('at the back'),
}).describe('what the band goes over to at its back; measures above are those of its top');

export const flatSchema = strict({
  length: length(2, 25).describe('along the band, from one end to the other'),
  rise: length(-1, 4)
    .default(0)
    .describe('of the flat over the outside that the band would have at its top; negative: cut into it'),
  edge: length(0.1, 4).default(0.3).describe('radius that rounds its ends'),
}).describe(
  'a flat on top, as wide as the band is there, with straight shoulders; a domed section keeps its dome across',
);

export type SectionFields = z.output<typeof section>;
export type TaperFields = z.output<typeof taperSchema>;
