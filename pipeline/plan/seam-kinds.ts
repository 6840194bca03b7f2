import * as z from 'zod';
import { angle, fromFarEdge, share, type WidthMeasure, widthMeasure } from './measure.ts';
import type { PathOf, SeamKindName, SeamPath } from './seam-design.ts';

/** What the keys of a seam come to once they are read. */
type Written<Keys extends z.ZodRawShape> = z.output<z.ZodObject<Keys>>;

type AnyFields = Record<string, unknown>;

/** How a partner's seam is turned: by half of its own wave, or by an angle (radians) at the top. */
export type PartnerTurn = 'half-wave' | number;

/** A kind of seam as it is written in files, and how what is written follows the other band of a pair. */
interface SeamKind<Fields, Path extends SeamPath> {
  /** how it runs, in the words of documents and editors */
  about: string;
  /** @param placed z (mm) of a distance from the first edge */
  path(written: Fields, placed: (at: WidthMeasure) => number, widthMm: number): Path;
  /** mean z of the seam, mm */
  middle(path: Path): number;
  /** z between which it runs at most, mm */
  reach(path: Path): [low: number, high: number];
  /** the key that decides it, for messages */
  placedBy: keyof Fields & string;
  /** what changes when first edge and far edge change places */
  mirrored(written: Fields): Partial<Fields>;
  /** what changes when the seam is turned about the finger */
  turned(written: Fields, turn: PartnerTurn): Partial<Fields>;
  /** what changes on a band this many times as long round; absent for kinds that stretch with it */
  fitted?(written: Fields, longer: number): Partial<Fields>;
}

/** @param keys of the file, and what they are read as */
function seamKind<Keys extends z.ZodRawShape, Path extends SeamPath>(
  keys: Keys,
  kind: SeamKind<Written<Keys>, Path>,
) {
  return { keys, ...kind };
}

const at = widthMeasure().describe('distance from the first edge: mm, a share of the width, or share ± mm');

/** A seam without waves of its own is turned as if it were one wave round the band. */
const turnedOnce = (seam: { turn: number }, turn: PartnerTurn) => ({
  turn: seam.turn + (turn === 'half-wave' ? Math.PI : turn),
});

/** Every kind of seam, in the order in which messages and schemas tell them. Their curves are in `band/seam.ts`. */
export const SEAM_KINDS = {
  straight: seamKind(
    { at },
    {
      about: 'level round the band',
      path: (s, placed) => ({ kind: 'straight', atMm: placed(s.at) }),
      middle: ({ atMm }) => atMm,
      reach: ({ atMm }) => [atMm, atMm],
      placedBy: 'at',
      mirrored: (s) => ({ at: fromFarEdge(s.at) }),
      turned: () => ({}),
    },
  ),

  wave: seamKind(
    {
      at,
      amplitude: widthMeasure().describe('half of the height from trough to crest'),
      waves: z.int().min(1).max(60).describe('whole waves round the band'),
      sharpness: share(0, 0.95).default(0).describe('0 is a pure sine'),
      phase: angle(-360, 360).default(0).describe('angle by which the first crest is turned from the top'),
    },
    {
      about: 'whole waves, one after the other',
      path: (s, placed, widthMm) => ({
        kind: 'wave',
        atMm: placed(s.at),
        amplitudeMm: s.amplitude.share * widthMm + s.amplitude.mm,
        periods: s.waves,
        sharpness: s.sharpness,
        phaseRad: s.phase,
      }),
      middle: ({ atMm }) => atMm,
      reach: ({ atMm, amplitudeMm }) => [atMm - amplitudeMm, atMm + amplitudeMm],
      placedBy: 'at',
      // −sin x = sin(x + π), whatever the sharpness: the curve is odd
      mirrored: (s) => ({ at: fromFarEdge(s.at), phase: s.phase + Math.PI }),
      turned: (s, turn) => ({ phase: s.phase + (turn === 'half-wave' ? Math.PI : -s.waves * turn) }),
      fitted: (s, longer) => ({ waves: Math.max(1, Math.round(s.waves * longer)) }),
    },
  ),

  drift: seamKind(
    {
      from: at,
      to: at,
      turn: angle(-360, 360).default(0).describe('angle by which the crossing is turned from the top'),
    },
    {
      about: 'one slow crossing and back',
      path: (s, placed) => ({ kind: 'drift', fromMm: placed(s.from), toMm: placed(s.to), phaseRad: s.turn }),
      middle: ({ fromMm, toMm }) => (fromMm + toMm) / 2,
      reach: ({ fromMm, toMm }) => [Math.min(fromMm, toMm), Math.max(fromMm, toMm)],
      placedBy: 'from',
      mirrored: (s) => ({ from: fromFarEdge(s.from), to: fromFarEdge(s.to) }),
      turned: turnedOnce,
    },
  ),

  peak: seamKind(
    {
      at: at.describe('beside the peak: distance from the first edge'),
      height: widthMeasure().describe('of the peak: mm, a share of the width, or share ± mm'),
      towards: z.enum(['first', 'second']).default('second').describe('edge that the peak points to'),
      span: angle(10, 360)
        .default((2 * Math.PI) / 3)
        .describe('how far round the band it leaves the straight'),
      roundness: share(0.1, 1).default(0.5).describe('100 % is an arch; the less, the sharper the V'),
      turn: angle(-360, 360).default(0).describe('angle by which the peak is turned from the top'),
    },
    {
      about: 'level, but for one V or arch',
      path: (s, placed, widthMm) => ({
        kind: 'peak',
        atMm: placed(s.at),
        heightMm: (s.towards === 'second' ? 1 : -1) * (s.height.share * widthMm + s.height.mm),
        spanRad: s.span,
        roundness: s.roundness,
        phaseRad: s.turn,
      }),
      middle: ({ atMm }) => atMm,
      reach: ({ atMm, heightMm }) => [Math.min(atMm, atMm + heightMm), Math.max(atMm, atMm + heightMm)],
      placedBy: 'at',
      mirrored: (s) => ({
        at: fromFarEdge(s.at),
        towards: s.towards === 'first' ? ('second' as const) : ('first' as const),
      }),
      turned: turnedOnce,
    },
  ),

  points: seamKind(
    {
      through: z
        .array(at)
        .min(3)
        .max(60)
        .describe('places round the band, the first at the top; evenly spaced unless angles are given'),
      angles: z
        .array(angle(0, 360))
        .max(60)
        .optional()
        .describe('of these places, in order, counted from the top; within one repeat if they repeat'),
      repeat: z
        .int()
        .min(1)
        .max(30)
        .default(1)
        .describe('how often these places follow each other round the band'),
      turn: angle(-360, 360).default(0).describe('angle by which the first place is turned from the top'),
    },
    {
      about: 'a smooth curve through places of your own',
      path: ({ through, angles, repeat, turn }, placed) => {
        const rounds = Array.from({ length: repeat }, (_, i) => (2 * Math.PI * i) / repeat);
        return {
          kind: 'points',
          zMm: rounds.flatMap(() => through.map(placed)),
          ...(angles && { anglesRad: rounds.flatMap((from) => angles.map((at) => from + at)) }),
          phaseRad: turn,
        };
      },
      middle: ({ zMm }) => zMm.reduce((sum, z) => sum + z, 0) / zMm.length,
      // a spline runs a little past its places: by less than an eighth of their height (periodic cubic, evenly spaced)
      reach: ({ zMm, anglesRad }) => {
        const [low, high] = [Math.min(...zMm), Math.max(...zMm)];
        const past = (high - low) / (anglesRad ? 2 : 8);
        return [low - past, high + past];
      },
      placedBy: 'through',
      mirrored: (s) => ({ through: s.through.map(fromFarEdge) }),
      turned: (s, turn) => ({ turn: s.turn + (turn === 'half-wave' ? Math.PI / s.repeat : turn) }),
      // places that go round once stretch with the band
      fitted: ({ repeat, angles }, longer) => {
        const times = repeat === 1 ? 1 : Math.max(1, Math.round(repeat * longer));
        return { repeat: times, ...(angles && { angles: angles.map((at) => (at * repeat) / times) }) };
      },
    },
  ),
} satisfies { [K in SeamKindName]: SeamKind<AnyFields, PathOf<K>> };

export const SEAM_KIND_NAMES = Object.keys(SEAM_KINDS) as SeamKindName[];

/** A seam as it is written, without the marks that every kind takes. */
type WrittenSeam = {
  [K in SeamKindName]: { kind: K } & Written<(typeof SEAM_KINDS)[K]['keys']>;
}[SeamKindName];

/** The kind of a seam: what it is given is always a seam of that kind, which the type cannot say. */
function kindOf(seam: { kind: SeamKindName }): SeamKind<AnyFields, SeamPath> {
  return SEAM_KINDS[seam.kind];
}

/** The path of a seam on a band of this width (mm). */
export function seamPath(seam: WrittenSeam, widthMm: number): SeamPath {
  return kindOf(seam).path(seam, (at) => at.share * widthMm + at.mm - widthMm / 2, widthMm);
}

/** The widths (mm) that a path's places stand for, told by its z. */
export function widthPath(seam: WrittenSeam, widthMm: number): SeamPath {
  return kindOf(seam).path(seam, (at) => at.share * widthMm + at.mm, widthMm);
}

/** Mean z of a seam (mm), and the key of the file that decides it. */
export function middleOf(path: SeamPath): { atMm: number; field: string } {
  const kind = kindOf(path);
  return { atMm: kind.middle(path), field: kind.placedBy };
}

/** z between which a path runs at most, mm. */
export function reachOf(path: SeamPath): [low: number, high: number] {
  return kindOf(path).reach(path);
}

export function mirroredSeam<S extends WrittenSeam>(seam: S): S {
  return { ...seam, ...kindOf(seam).mirrored(seam) };
}

export function turnedSeam<S extends WrittenSeam>(seam: S, turn: PartnerTurn): S {
  return { ...seam, ...kindOf(seam).turned(seam, turn) };
}

/** The seam on a band that many times as long round: whole waves of about the same length. */
export function fittedSeam<S extends WrittenSeam>(seam: S, longer: number): S {
  return { ...seam, ...kindOf(seam).fitted?.(seam, longer) };
}
