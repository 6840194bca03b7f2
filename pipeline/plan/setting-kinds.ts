import * as z from 'zod';
import { angle, length, share } from './measure.ts';
import { CLAW_TIPS, type SettingDesign, type SettingOf } from './setting-design.ts';
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
  /** how wide holes open at the bore if the row does not say, as a share of the stone's diameter; straight if absent */
  azureShare?: number;
  /** why two staggered lines can't be held so */
  notStaggered?: string;
}

/** A style of setting as it is written in files. */
interface SettingKind<Fields, S extends SettingStyle> extends Asked {
  /** what it is, in the words of documents and editors */
  about: string;
  design(written: Fields): Omit<SettingOf<S>, 'style'>;
}

/** @param keys of the file, and what they are read as */
const settingKind =
  <S extends SettingStyle>() =>
  <Keys extends z.ZodRawShape>(keys: Keys, kind: SettingKind<Written<Keys>, S>) => ({ keys, ...kind });

const SET_DEPTH = 0.1;
/** Rows of close stones are azured; channels, rubbed and raised stones are drilled straight (common practice). */
const AZURE = 0.85;
/** In a field the girdle lies deeper, so that grains reach over it and the table hardly stands out (trade: 0.05–0.15). */
const GRAIN_SET_DEPTH = 0.15;
/** Collars lift their stones over the band. */
const RAISED = -0.6;

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
          'how claws end over their stones: a round bead, a pointed talon, a flat tab, or a short bar over the corners of square and step cuts',
        ),
    },
    {
      about: 'claws in the gaps, each over two neighbours',
      design: (s) => ({
        clawDiameterMm: s['claw-diameter'],
        clawHeightMm: s['claw-height'],
        ...(s.tip === 'round' ? {} : { tip: s.tip }),
        ...(s.lean > 0 ? { leanRad: s.lean } : {}),
      }),
      setDepthMm: SET_DEPTH,
      azureShare: AZURE,
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
      about: 'between two walls, end to end',
      design: ({ opening }) => ({ openingShare: opening }),
      setDepthMm: SET_DEPTH,
      notStaggered: 'Nothing would hold the inner sides of two lines between two walls',
    },
  ),

  flush: settingKind<'flush'>()(
    { lip: length(0.03, 0.5).default(0.08).describe('how far the burnished metal reaches over the girdle') },
    {
      about: 'sunk into the metal, which is rubbed over the girdle',
      design: ({ lip }) => ({ lipMm: lip }),
      setDepthMm: SET_DEPTH,
      tablesLevel: true,
    },
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
      about: 'grains raised from the floor of a field',
      design: (s) => ({
        grainMm: s.grain,
        grains: s.grains,
        fieldMm: s.field,
        fieldDepthMm: s['field-depth'],
        brightCut: s['bright-cut'],
      }),
      setDepthMm: GRAIN_SET_DEPTH,
      azureShare: AZURE,
    },
  ),

  bezel: settingKind<'bezel'>()(
    {
      wall: length(0.2, 2).default(0.5).describe('thickness of the collar round the girdle'),
      lip: length(0.03, 0.6).default(0.15).describe('how far the metal pushed over reaches over the girdle'),
      taper: angle(0, 45)
        .default(0)
        .describe('by which the sides draw in towards the band; 0 for straight ones'),
      open: oneOf(['none', 'along', 'across'])
        .default('none')
        .describe('two sides without wall, a half bezel: one looks through along the row or across it'),
      'open-share': share(0.2, 0.8).default(0.5).describe('how much of the round those sides take up'),
    },
    {
      about: 'a collar round each stone',
      design: (s) => ({
        wallMm: s.wall,
        lipMm: s.lip,
        taperRad: s.taper,
        ...(s.open === 'none' ? {} : { open: s.open }),
        openShare: s['open-share'],
      }),
      setDepthMm: RAISED,
      notStaggered: 'Collars stand one behind the other',
    },
  ),

  head: settingKind<'head'>()(
    {
      claws: z
        .union([z.literal(4), z.literal(6)], { error: () => '4 or 6' })
        .default(4)
        .describe('claws of each stone'),
      'claw-diameter': length(0.4, 2).describe('of a claw, which runs down into the band'),
      'claw-height': length(0.1, 3).describe('height of the claw tip above the girdle plane'),
      wall: length(0.2, 2).default(0.5).describe('thickness of the cup at the girdle'),
      taper: angle(0, 45).default(15).describe('by which cup and claws draw in towards the band'),
      tip: oneOf(CLAW_TIPS).default('round').describe('how claws end over their stones'),
    },
    {
      about: 'a cup with four or six claws of its own for each stone',
      design: (s) => ({
        claws: s.claws,
        clawDiameterMm: s['claw-diameter'],
        clawHeightMm: s['claw-height'],
        wallMm: s.wall,
        taperRad: s.taper,
        ...(s.tip === 'round' ? {} : { tip: s.tip }),
      }),
      setDepthMm: RAISED,
      notStaggered: 'Heads stand one behind the other',
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
