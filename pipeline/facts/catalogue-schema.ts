/**
 * What catalogue.json and every manifest.json hold. The types are read from the schema; its JSON Schema is
 * committed as catalogue.schema.json for those who import the catalogue.
 *
 * `version` rises when a reader of the old form would go wrong; new optional fields do not raise it.
 */
import * as z from 'zod';
import { LANGUAGES } from '../trade/words.ts';
import { bandSchema } from './band-schema.ts';
import { amount, count, file, hash, positive, text } from './schema-fields.ts';

export type { BandFacts, CasterFacts } from './band-schema.ts';

export const CATALOGUE_VERSION = 1;

const document = z
  .strictObject({ kind: z.enum(['stone-list', 'bench-sheet']), ...file })
  .describe('a file for the bench beside the pictures');

const picture = z
  .strictObject({
    file: text.describe('path from the catalogue folder'),
    role: z
      .enum(['picture', 'extra', 'thumbnail'])
      .describe('extra: a file of a named output, beside the pictures of the catalogue'),
    name: text.optional().describe('of the named output'),
    frame: text.optional().describe('of the frame that was cut out of the traced picture'),
    format: z.enum(['avif', 'webp', 'jpeg', 'png', 'tiff']),
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
      target: amount.describe('grain aimed at: as visible as so much more or less light on a mid grey'),
      reached: amount.describe('grain reached, root mean square over tiles'),
      passes: count,
      filtered: z
        .boolean()
        .optional()
        .describe('whether grain was taken off metal and ground afterwards; stones are always as traced'),
    }),
    tracedBy: z
      .enum(['cpu', 'gpu'])
      .optional()
      .describe('what traced it, the processor’s cores or the graphics card; both agree within noise'),
    pictures: z.array(picture),
  })
  .describe('one view in all its files');

export const itemSchema = z
  .strictObject({
    sku: text,
    kind: z.enum(['variant', 'pair']),
    title: text,
    bands: z.array(bandSchema).min(1).max(3),
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
    print: swatchFile.optional().describe('the sheet as PDF; width and height as of the PNG, at 300 dpi'),
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

const movie = z
  .strictObject({
    shot: text,
    skus: z.array(text).min(1).describe('bands that are to be seen'),
    title: text,
    file: text.describe('path from the catalogue folder'),
    format: z.enum(['webp', 'webm', 'mp4']),
    width: z.int().positive(),
    height: z.int().positive(),
    frames: z.int().positive(),
    of: z.enum(['turntable', 'colourways']).describe('what moves'),
    frame: text.optional().describe('name of the frame it is cut to'),
    seconds: positive.describe('once through'),
    bytes: count,
    sha256: hash,
    still: z.strictObject({ file: text, bytes: count, sha256: hash }).describe('JPEG of its first frame'),
    captions: z
      .strictObject({ file: text, bytes: count, sha256: hash })
      .describe('WebVTT: what is to be seen, and when'),
  })
  .describe('a turntable, or the colourways of one shot, as one file');

const shop = z
  .strictObject({
    baseUrl: text.optional().describe('address at which the catalogue folder stands'),
    page: text.optional().describe('address of a product’s page, with {sku} in it'),
    enquire: text
      .optional()
      .describe('address for enquiries; {sku}, {title} and {link} stand for the choice'),
  })
  .describe('where a band can be asked for or bought');

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
    names: z
      .record(text, text)
      .optional()
      .describe('what lanes and rows are called for readers, by their names in the template'),
    shop: shop.optional(),
    items: z.array(itemSchema),
    models: z.array(modelFile),
    swatches: z.array(swatches).optional(),
    comparisons: z.array(comparison).optional(),
    movies: z.array(movie).optional(),
    cautions: z.array(text),
  })
  .describe('a finished catalogue of wedding bands. Lengths mm, masses g, stones metric carats (0.2 g)');

export type Catalogue = z.infer<typeof catalogueSchema>;
export type CatalogueEntry = z.infer<typeof itemSchema>;
export type Manifest = z.infer<typeof manifestSchema>;
export type DocumentEntry = z.infer<typeof document>;
export type ModelEntry = z.infer<typeof modelFile>;
export type ComparisonEntry = z.infer<typeof comparison>;
export type MovieEntry = z.infer<typeof movie>;
export type SwatchEntry = z.infer<typeof swatches>;
export type ShotEntry = z.infer<typeof shot>;
export type PictureEntry = z.infer<typeof picture>;

/** JSON Schema (draft 2020-12) of catalogue.json, as committed in catalogue.schema.json. */
export function catalogueJsonSchema(): string {
  return `${JSON.stringify(z.toJSONSchema(catalogueSchema), null, 2)}\n`;
}
