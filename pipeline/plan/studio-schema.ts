import * as z from 'zod';
import type { Rgb } from '../trade/rgb.ts';
import { colour, luminance } from './colour.ts';
import { angle, length, share } from './measure.ts';
import { localName, printed, strict } from './strict-object.ts';
import type { SkyPicture, StudioPanel, StudioPlan } from './studio.ts';

const size = z.tuple([length(1, 2000), length(1, 2000)]).describe('width and height as seen from the band');

const panel = strict({
  azimuth: angle(-360, 360).describe('from the camera, positive to the right; 180 deg is behind the band'),
  elevation: angle(-89, 90).describe('above the ground; above the lens with "at: lens"'),
  at: z
    .literal('lens', { error: () => 'lens, or nothing' })
    .optional()
    .describe(
      'lens: placed from the lens, whatever the shot, and behind it; a card there is what stones mirror darkly',
    ),
  distance: length(20, 5000).describe('from the middle of the band'),
  size,
  light: z.number().min(0).max(10_000).describe('relative brightness of its surface; 0 is a black card'),
  tint: colour.optional().describe('colour of its light; brightness stays'),
  fade: share(0, 1).default(0).describe('share of the half-edge over which a softbox fades out'),
  turn: angle(-180, 180).default(0).describe('about the line towards the band'),
  repeat: strict({
    count: z.int().min(2).max(64).describe('how many, this one counted'),
    spread: angle(1, 360)
      .default(2 * Math.PI)
      .describe('arc of azimuth that the copies share, centred on the panel’s own; 360 deg is a full circle'),
  })
    .optional()
    .describe('copies at even steps of azimuth, such as a ring of small lamps'),
});

const MOST_PANELS = 128;

const dome = z.array(z.number().min(0).max(10_000)).min(2).max(65);

const picture = strict({
  image: z
    .string()
    .min(1)
    .max(1000)
    .describe(
      'Radiance (.hdr) or OpenEXR (.exr) file of all directions, latitude by longitude, from this file’s folder',
    ),
  turn: angle(-360, 360).default(0).describe('moves it to the left; its middle is behind the band at 0 deg'),
  light: z.number().min(0.0001).max(10_000).default(1).describe('brightness relative to the panels'),
});

/** A studio set-up: what a studio file holds, and what a config’s own studios hold. */
export const studioSchema = strict({
  title: printed(80).describe('what it is called'),
  about: z.string().max(2000).optional().describe('what it is good for'),
  exposure: z
    .number()
    .min(0.01)
    .max(20)
    .describe('what bare white ground under the band reads when metered; 1 is display white'),
  sky: z
    .union([dome, picture], { error: () => 'a list of brightnesses, or a mapping with an image' })
    .describe(
      'relative brightness all round, at even steps from straight below to straight above; or a picture',
    ),
  paper: strict({
    radius: length(1, 5000).describe('from the middle of the subject'),
    fade: length(1, 5000).describe('over which it passes into what is beyond'),
    beyond: share(0, 1).describe('how bright what is beyond it is, of the paper'),
  })
    .optional()
    .describe(
      'white ground that ends on a darker table, as the metal mirrors it; pictures show white all the same',
    ),
  panels: z
    .record(localName, panel)
    .default({})
    .refine((r) => Object.values(r).reduce((n, p) => n + (p.repeat?.count ?? 1), 0) <= MOST_PANELS, {
      error: () => `at most ${MOST_PANELS} panels, copies counted`,
    })
    .describe('softboxes, strips, lamps and cards, by name'),
}).refine(
  (s) =>
    !Array.isArray(s.sky) || s.sky.some((v) => v > 0) || Object.values(s.panels).some((p) => p.light > 0),
  {
    error: () => 'some light: a sky or a panel above 0',
  },
);

export type StudioFile = z.output<typeof studioSchema>;

/** Offsets of azimuth of a panel's copies. */
function offsets(repeat: StudioFile['panels'][string]['repeat']): number[] {
  if (!repeat) return [0];
  const { count, spread } = repeat;
  const full = spread > 2 * Math.PI - 1e-9;
  return Array.from({ length: count }, (_, i) =>
    full ? (i * spread) / count : spread * (i / (count - 1) - 0.5),
  );
}

function tintOf(written: Rgb | undefined): Rgb {
  const y = written ? luminance(written) : 0;
  return written && y > 0 ? [written[0] / y, written[1] / y, written[2] / y] : [1, 1, 1];
}

/** The studio with its copies written out. `sky` is what was found in the file that a pictured sky names. */
export function studioPlan(file: StudioFile, sky?: Pick<SkyPicture, 'file' | 'hash'>): StudioPlan {
  const panels = Object.values(file.panels).flatMap((p) =>
    offsets(p.repeat).map(
      (offset): StudioPanel => ({
        azimuth: p.azimuth + offset,
        elevation: p.elevation,
        distance: p.distance,
        width: p.size[0],
        height: p.size[1],
        radiance: p.light,
        tint: tintOf(p.tint),
        falloff: p.fade,
        turn: p.turn,
        ...(p.at === 'lens' ? { lens: true as const } : {}),
      }),
    ),
  );
  const light = { panels, groundRadiance: file.exposure, ...(file.paper ? { paper: file.paper } : {}) };
  if (Array.isArray(file.sky)) return { ...light, dome: file.sky };
  const { turn, light: brightness } = file.sky;
  const picture = sky && { sky: { ...sky, turn: turn / (2 * Math.PI), light: brightness } };
  return { ...light, dome: [0, 0], ...picture };
}
