import * as z from 'zod';
import { colour } from './colour.ts';
import { match } from './match-schema.ts';
import { aperture, length, pixels } from './measure.ts';
import type { ShotName } from './plan.ts';
import { localName, oneOf, strict } from './strict-object.ts';

export const VIEWS = [
  'three-quarter',
  'front',
  'flat-lay',
  'profile',
  'macro',
  'inside',
  'turntable',
  'pair',
] as const satisfies readonly ShotName[];

export const frame = z
  .union([pixels(16, 8192), z.tuple([pixels(16, 8192), pixels(16, 8192)])], {
    error: () => 'pixels such as "720 px", or [width, height]',
  })
  .describe('width and height in pixels, one number for a square');

export const lights = z
  .string()
  .min(1)
  .max(1000)
  .meta({ examples: ['soft-tent', 'side-window', 'edge-strips', 'pin-lights', 'dusk'] })
  .describe('a studio of "studios" below or of those that come along, or the path of a studio file');

/** A studio of the config's own. Checked when it is laid over what it is like. */
export const ownStudio = z.record(z.string(), z.unknown()).meta({ title: 'a studio' });

export const studios = z
  .record(
    localName,
    z.union([z.string().min(1).max(1000), ownStudio], {
      error: () => 'a studio, or the path of a studio file',
    }),
  )
  .refine((r) => Object.keys(r).length <= 50, { error: () => 'at most 50 studios' })
  .default({})
  .describe(
    'studios of your own by name: a path, all of a studio’s keys, or changes to the one named by "like"',
  );

const GROUNDS = ['white', 'sweep', 'gloss', 'clear'] as const;
export const ground = z
  .union(
    [
      oneOf(GROUNDS),
      strict({
        kind: oneOf(['sweep', 'gloss']).describe('matt and without an end, or a mirror'),
        colour: colour.describe('what it reflects: "#rrggbb", or linear [red, green, blue]'),
      }),
    ],
    { error: () => 'white, sweep, gloss, clear, or a mapping of kind (sweep, gloss) and colour' },
  )
  .describe('white paper, a tinted sweep, dark gloss, or clear: no ground, its shadow in the alpha channel');

export const frameScale = z
  .union([z.boolean(), length(2, 500)], {
    error: () => 'true, or the width of the frame such as "32 mm"',
  })
  .describe('true: all sizes of the catalogue in true proportion; a length: the frame’s width at the band');

const camera = {
  ground: ground.optional(),
  aperture: aperture
    .optional()
    .describe('gentle, or the opening of the lens in mm or as an f-number; all is sharp without'),
  scale: frameScale.optional(),
};

export const shot = z.union([
  oneOf(VIEWS),
  strict({
    name: localName.optional().describe('used in file names; the view if left out'),
    view: oneOf(VIEWS).describe('from where the band is seen, and how it lies'),
    lights: lights.optional(),
    frame: frame.optional(),
    ...camera,
    when: match.optional().describe('variants that get this shot; all if left out. For pairs: the left band'),
    frames: z.int().min(24).max(72).optional().describe('pictures of a turntable, 36 if left out'),
  }),
]);
