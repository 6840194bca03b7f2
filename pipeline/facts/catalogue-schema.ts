/**
 * What catalogue.json and every manifest.json hold. The types are read from the schema; its JSON Schema is
 * committed as catalogue.schema.json for those who import the catalogue.
 *
 * `version` rises when a reader of the old form would go wrong; new optional fields do not raise it.
 */
import { z } from 'zod';
import { WEIGHT_SOURCES } from '../trade/charted-weights.ts';
import { LANGUAGES } from '../trade/words.ts';

export const CATALOGUE_VERSION = 1;

const text = z.string();
const positive = z.number().positive();
const amount = z.number().nonnegative();
const count = z.int().nonnegative();
const hash = z.string().regex(/^[0-9a-f]{64}$/);

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

const file = {
  file: text.describe('path from the catalogue folder'),
  bytes: count,
  sha256: hash,
};

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

const document = z
  .strictObject({ kind: z.enum(['stone-list', 'bench-sheet']), ...file })
  .describe('a file for the bench beside the pictures');

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

const band = z
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
    sizes: z.array(size),
    metals: z.array(metal),
    metalMassG: amount,
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

const picture = z
  .strictObject({
    file: text.describe('path from the catalogue folder'),
    role: z
      .enum(['picture', 'extra', 'thumbnail'])
      .describe('extra: a file of a named output, beside the pictures of the catalogue'),
    name: text.optional().describe('of the named output'),
    frame: text.optional().describe('of the frame that was cut out of the traced picture'),
    format: z.enum(['avif', 'webp', 'jpeg', 'png']),
    width: z.int().positive(),
    height: z.int().positive(),
    fill: amount
      .max(1)
      .optional()
      .describe('larger share of the frame’s sides that the subject takes, measured in the picture'),
    bytes: count,
    sha256: hash,
  })
  .describe('one picture file');

const shot = z
  .strictObject({
    name: text,
    label: text.describe('what the picture shows, for people'),
    turn: z
      .strictObject({ frame: z.int().positive(), of: z.int().positive() })
      .optional()
      .describe('which frame of a turntable this is; frames follow each other'),
    alt: text.optional().describe('alternative text, as also written into the files'),
    frameMm: positive
      .optional()
      .describe('width of the frame at the depth of the camera’s aim: the scale of the picture'),
    noise: z.strictObject({
      target: amount.describe('relative standard error aimed at'),
      reached: amount.describe('relative standard error reached, root mean square over tiles'),
      passes: count,
    }),
    pictures: z.array(picture),
  })
  .describe('one view in all its files');

export const itemSchema = z
  .strictObject({
    sku: text,
    kind: z.enum(['variant', 'pair']),
    title: text,
    bands: z.array(band).min(1).max(2),
    shots: z.array(shot),
    documents: z.array(document).optional(),
    cautions: z.array(text),
    keys: z.record(text, text).describe('content keys of what it was made from'),
    versions: z.record(text, text).describe('what made it'),
  })
  .describe('one catalogue item');

export const manifestSchema = z
  .strictObject({
    manifest: z.literal('bandwright'),
    version: z.literal(CATALOGUE_VERSION),
    item: itemSchema,
  })
  .describe('manifest.json of an item folder; written last, so a folder without it is not a catalogue item');

const axis = z.strictObject({
  name: text,
  values: z.array(z.strictObject({ label: text, slug: text })),
});

const modelFile = z
  .strictObject({
    file: text.describe('path from the catalogue folder'),
    shape: text.describe('content key of the solids'),
    variants: z.array(text).describe('colourway names within the file'),
    bytes: count,
    sha256: hash,
  })
  .describe('one GLB with all colourways of a shape');

const swatchFile = z.strictObject({
  file: text.describe('path from the catalogue folder'),
  width: z.int().positive(),
  height: z.int().positive(),
  bytes: count,
  sha256: hash,
});

const swatches = z
  .strictObject({
    shot: text,
    sheet: swatchFile,
    singles: z.array(swatchFile.extend({ sku: text, caption: text })),
  })
  .describe('all colourways of one tracing run; the singles show the same place to the pixel');

const lab = z.tuple([z.number(), z.number(), z.number()]).describe('CIELAB under D65, 2°');

const comparison = z
  .strictObject({
    shot: text,
    skus: z.array(text).min(1).describe('bands that look like this'),
    title: text,
    file: text.describe('path from the catalogue folder: the traced picture left, the model right'),
    width: z.int().positive(),
    height: z.int().positive(),
    bytes: count,
    sha256: hash,
    traced: lab,
    model: lab,
    deltaE: amount.describe('CIEDE2000 of the two'),
    pixels: count.describe('of metal, over which both are means'),
  })
  .describe(
    'mean colours of metal as displayed, in a traced picture and in its model drawn from the same place',
  );

export const catalogueSchema = z
  .strictObject({
    $schema: text.optional(),
    version: z.literal(CATALOGUE_VERSION),
    catalogue: text,
    title: text,
    workshop: text,
    language: z.enum(LANGUAGES).optional().describe('of all words but the maker’s own; English if absent'),
    market: z.string().optional().describe('country of the clients, ISO 3166-1 alpha-2'),
    axes: z.array(axis),
    items: z.array(itemSchema),
    models: z.array(modelFile),
    swatches: z.array(swatches).optional(),
    comparisons: z.array(comparison).optional(),
    cautions: z.array(text),
  })
  .describe('a finished catalogue of wedding bands. Lengths mm, masses g, stones metric carats (0.2 g)');

export type Catalogue = z.infer<typeof catalogueSchema>;
export type CatalogueEntry = z.infer<typeof itemSchema>;
export type Manifest = z.infer<typeof manifestSchema>;
export type BandFacts = z.infer<typeof band>;
export type CasterFacts = z.infer<typeof caster>;
export type DocumentEntry = z.infer<typeof document>;
export type ModelEntry = z.infer<typeof modelFile>;
export type ComparisonEntry = z.infer<typeof comparison>;
export type SwatchEntry = z.infer<typeof swatches>;
export type ShotEntry = z.infer<typeof shot>;
export type PictureEntry = z.infer<typeof picture>;

/** JSON Schema (draft 2020-12) of catalogue.json, as committed in catalogue.schema.json. */
export function catalogueJsonSchema(): string {
  return `${JSON.stringify(z.toJSONSchema(catalogueSchema), null, 2)}\n`;
}
