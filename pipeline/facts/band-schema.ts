/** Facts of one band, as catalogue and manifests hold them. */
import * as z from 'zod';
import { WEIGHT_SOURCES } from '../trade/charted-weights.ts';
import { amount, count, file, positive, text } from './schema-fields.ts';

const size = z
  .strictObject({
    system: text.describe('id of the size system, e.g. iso, us, uk, jp, ch'),
    label: text.describe('where it is used'),
    text: text.describe('the size as spoken, nearest named step'),
  })
  .describe('the bore in one size system');

const metal = z
  .strictObject({
    alloy: text.describe('id of the alloy'),
    name: text.describe('wording with fineness'),
    lanes: z.array(text).describe('lanes made of it'),
    volumeMm3: amount,
    massG: amount.describe('computed from volume and density, before polishing'),
  })
  .describe('all metal of one alloy in a band');

const row = z
  .strictObject({
    name: text,
    stone: text.describe('id of the stone'),
    label: text.describe('name with its declared origin and treatments'),
    origin: text.optional().describe('as the maker declared it: natural, laboratory-grown or simulant'),
    treatments: z.array(text).optional().describe('as the maker declared them'),
    cut: text,
    inside: z.literal(true).optional().describe('set into the bore'),
    face: z.enum(['first', 'second']).optional().describe('set into the side face at this edge'),
    diameterMm: positive.describe('width across the row; the diameter of round cuts'),
    lengthMm: positive.optional().describe('length along the row, for cuts that are not round'),
    count,
    carats: amount.describe('total of the row, approximate'),
    weightFrom: z
      .enum(['supplier', 'chart', 'solid'])
      .optional()
      .describe(
        `${Object.entries(WEIGHT_SOURCES)
          .map((entry) => entry.join(': '))
          .join('; ')}`,
      ),
  })
  .describe('equal stones of a row; a row of several sizes or stones is several of these');

const marks = z
  .strictObject({
    engravings: z.array(
      z.strictObject({
        side: z.enum(['inside', 'outside']),
        lane: text.optional().describe('of an outside line'),
        text,
        style: text.describe('style of the lettering'),
        heightMm: positive.describe('of capitals'),
        depthMm: positive,
        lengthMm: positive.describe('from the first letter’s edge to the last one’s, along the surface'),
        atDeg: z.number().describe('angle of the middle from the top'),
        heads: z.enum(['first', 'second']).describe('edge that the heads of the letters stand towards'),
        wallDeg: amount.describe('lean of the walls from square to the surface'),
        strokeMm: positive.describe('narrowest stroke'),
      }),
    ),
    milgrain: z.array(
      z.strictObject({
        along: text.describe('name of the seam, or edge'),
        lane: text,
        beadMm: positive,
        pitchMm: positive.describe('between the middles of neighbours'),
        count,
      }),
    ),
    grooves: z.array(
      z.strictObject({
        along: text.describe('name of the seam'),
        widthMm: positive,
        depthMm: positive,
        profile: z.enum(['v', 'round']),
      }),
    ),
  })
  .describe('letters, beads and grooves');

const check = z
  .strictObject({
    rule: text,
    severity: z.enum(['error', 'warning', 'info']),
    passed: z.boolean(),
    limit: text,
    measured: text,
    place: text,
    source: text,
    waived: text.optional().describe('why the maker lets this failed rule pass'),
  })
  .describe('one bench check of the solids');

const fitStep = z
  .strictObject({
    count,
    gapMm: z.number().nullable().describe('negative where girdles would overlap; null where there is none'),
    fits: z.boolean(),
    why: text,
  })
  .nullable();

const fit = z
  .strictObject({
    row: text,
    count,
    pitchMm: positive.nullable().describe('centre to centre; null for a single stone and where it differs'),
    gapMm: amount.nullable().describe('least distance between neighbouring girdles; null for a single stone'),
    leastGapMm: amount,
    wallMm: z.number().describe('least metal beside seats, or between a field and the lane’s sides'),
    underCuletMm: z.number().describe('least height of a culet above the bore'),
    fewer: fitStep.describe('what the next smaller count would change'),
    more: fitStep.describe('what the next larger count would change'),
  })
  .describe('how the stones of a whole row fit the band');

const castPart = z
  .strictObject({
    alloy: text,
    lanes: z.array(text),
    pieces: z.int().positive().describe('bodies that do not touch'),
    finishedMassG: amount,
    castVolumeMm3: amount.describe(
      'of the cold casting, polishing allowance included, shrinkage allowance not',
    ),
    castMassG: amount.describe('of the cold casting, with the sprue if one is allowed for'),
    files: z.array(z.strictObject({ format: z.enum(['stl', '3mf']), ...file })),
  })
  .describe('all lanes of one alloy, in mm');

const caster = z
  .strictObject({
    shrinkage: amount.describe(
      'linear share by which the files are larger than the casting is to be; 0 is none',
    ),
    polishMm: amount.describe('metal left on outside, bore and faces; 0 is none'),
    sprue: amount.describe('metal cast besides the part, as a share of its mass; 0 is none'),
    parts: z.array(castPart),
  })
  .describe('files for the caster and what they allow for');

const price = z
  .strictObject({
    total: amount.describe('what is asked, rounded as the maker rounds'),
    currency: text.describe('ISO 4217'),
    tax: z
      .strictObject({ name: text, rate: amount, included: z.boolean() })
      .optional()
      .describe('whether the total is told with it'),
  })
  .describe('computed from the maker’s own rates; how it is made up is told nowhere in the catalogue');

export const bandSchema = z
  .strictObject({
    sku: text.describe('SKU of the variant this band is'),
    axes: z.record(text, text).describe('axis name to label'),
    innerDiameterMm: positive.describe('smallest bore'),
    circumferenceMm: positive.describe('ISO 8653 size: circumference of the smallest bore'),
    widthMm: positive.describe('at the top of the band'),
    thicknessMm: positive.describe('at the top of the band'),
    back: z
      .strictObject({ widthMm: positive, thicknessMm: positive })
      .optional()
      .describe('of a tapered band: width and thickness at its back; all others lie between'),
    outline: z
      .strictObject({
        leastWidthMm: positive,
        mostWidthMm: positive,
        fromZMm: z.number().describe('of the first edge where it lies lowest, from the middle'),
        toZMm: z.number().describe('of the second edge where it lies highest'),
      })
      .optional()
      .describe(
        'of a band whose edges do not run level: least and greatest width square to its run, and its reach',
      ),
    sizes: z.array(size),
    metals: z.array(metal),
    metalMassG: amount,
    finishes: z
      .array(z.strictObject({ finish: text.describe('id of the finish'), name: text, lanes: z.array(text) }))
      .optional()
      .describe('of the lanes’ outsides'),
    rows: z.array(row),
    stoneCount: count,
    totalCarats: amount.describe('all stones of the band, approximate'),
    fits: z.array(fit).optional().describe('one for each row of the design'),
    marks: marks.optional(),
    checks: z.array(check),
    failedChecks: count
      .optional()
      .describe('rules that fail as errors or warnings and are not waived, each once; notes fail nothing'),
    heldBack: z
      .array(text)
      .optional()
      .describe('rules that fail as errors: the band is in no feed, has no price and no proof'),
    price: price.optional(),
    caster: caster.optional(),
    model: z
      .strictObject({
        file: text.describe('path from the catalogue folder'),
        variant: text.describe('KHR_materials_variants name of this colourway'),
      })
      .optional(),
    ownModels: z
      .array(z.strictObject({ format: z.enum(['glb', 'usdz']), ...file }))
      .optional()
      .describe('models of this band alone, in its own colours: GLB without variants, USDZ for phones'),
  })
  .describe('facts of one band');

export type BandFacts = z.infer<typeof bandSchema>;
export type CasterFacts = z.infer<typeof caster>;
