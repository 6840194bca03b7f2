import { z } from 'zod';
import { CLAW_TIPS, type SettingDesign, type SettingOf } from './design.ts';
import { angle, length, share } from './measure.ts';
import { oneOf } from './strict-object.ts';

type Style = SettingDesign['style'];
/** Those with keys of their own; "none" is but a word. */
export type SettingStyle = Exclude<Style, 'none'>;

type Written<Keys extends z.ZodRawShape> = { [K in keyof Keys]: z.output<Keys[K]> };

/** What a style asks of the row that is set so. */
interface Asked {
  /** depth of a girdle below the lane when the row gives none, mm */
  setDepthMm: number;
  /** tables lie level with the metal, so that a depth of the row's own would say otherwise */
  tablesLevel?: true;
  /** why two staggered lines can't be held so */
  notStaggered?: string;
}

/** A style of setting as it is written in files. */
interface SettingKind<Fields, S extends SettingStyle> extends Asked {
  design(written: Fields): Omit<SettingOf<S>, 'style'>;
}

/** @param keys of the file, and what they are read as */
const settingKind =
  <S extends SettingStyle>() =>
  <Keys extends z.ZodRawShape>(keys: Keys, kind: SettingKind<Written<Keys>, S>) => ({ keys, ...kind });

const SET_DEPTH = 0.1;
/** In a field the girdle lies deeper, so that grains reach over it and the table hardly stands out (trade: 0.05–0.15). */
const GRAIN_SET_DEPTH = 0.15;

/** Every style, in the order in which messages and schemas tell them. What each plans is in `setting/holding.ts`. */
export const SETTING_KINDS = {
  'shared-claws': settingKind<'shared-claws'>()(
    {
      'claw-diameter': length(0.2, 2).describe('where a claw leaves the metal; it tapers from there'),
      'claw-height': length(0, 2).describe('height of the claw tip above the girdle plane'),
      lean: angle(0, 20).default(0).describe('how far each claw leans in over its stones'),
      tip: oneOf(CLAW_TIPS)
        .default('round')
        .describe(
          'how claws end over their stones: a round bead, a pointed talon, a flat tab, or spread over the corners of square and step cuts',
        ),
    },
    {
      design: (s) => ({
        clawDiameterMm: s['claw-diameter'],
        clawHeightMm: s['claw-height'],
        ...(s.tip === 'round' ? {} : { tip: s.tip }),
        ...(s.lean > 0 ? { leanRad: s.lean } : {}),
      }),
      setDepthMm: SET_DEPTH,
      notStaggered: 'Claws that two stones of a line share would stand in stones of the other',
    },
  ),

  channel: settingKind<'channel'>()(
    {
      opening: share(0.5, 0.98)
        .default(0.9)
        .describe('width of the groove between the walls, as a share of the stone’s width'),
    },
    {
      design: ({ opening }) => ({ openingShare: opening }),
      setDepthMm: SET_DEPTH,
      notStaggered: 'Nothing would hold the inner sides of two lines between two walls',
    },
  ),

  flush: settingKind<'flush'>()(
    { lip: length(0.03, 0.5).default(0.08).describe('how far the burnished metal reaches over the girdle') },
    { design: ({ lip }) => ({ lipMm: lip }), setDepthMm: SET_DEPTH, tablesLevel: true },
  ),

  grain: settingKind<'grain'>()(
    {
      grain: length(0.15, 1).default(0.34).describe('diameter of the rounded grains'),
      grains: oneOf(['own', 'shared'])
        .default('own')
        .describe('four for each stone, or two in every gap, shared by neighbours'),
      field: length(0.1, 2).default(0.25).describe('floor cut beside the girdles'),
      'field-depth': length(0.02, 0.5).default(0.1).describe('depth of the floor below the lane’s surface'),
      'bright-cut': z.boolean().default(true).describe('walls of the field cut bright at 45°'),
    },
    {
      design: (s) => ({
        grainMm: s.grain,
        grains: s.grains,
        fieldMm: s.field,
        fieldDepthMm: s['field-depth'],
        brightCut: s['bright-cut'],
      }),
      setDepthMm: GRAIN_SET_DEPTH,
    },
  ),
} satisfies { [S in SettingStyle]: SettingKind<never, S> & { keys: z.ZodRawShape } };

export const SETTING_STYLES = Object.keys(SETTING_KINDS) as SettingStyle[];

const UNSET: Asked = { setDepthMm: SET_DEPTH };

export const settingAsks = (style: Style): Asked => (style === 'none' ? UNSET : SETTING_KINDS[style]);

export function settingDesign(written: 'none' | { style: SettingStyle }): SettingDesign {
  if (written === 'none') return { style: 'none' };
  const { style, ...keys } = written;
  // what a style is given is always what its own keys were read as, which the type cannot say
  const { design } = SETTING_KINDS[style] as unknown as { design(written: object): object };
  return { style, ...design(keys) } as SettingDesign;
}
