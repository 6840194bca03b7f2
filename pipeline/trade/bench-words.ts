/**
 * What the bench's rules say of a shape, apart from any language: a phrase of the table below with its amounts. A
 * phrase that a language lacks, and an amount that a phrase is not given, are type errors. Figures take the form of
 * the reader's language (Unicode CLDR by Intl).
 */
import { degreesFromTop } from './degrees.ts';
import { numberFormat } from './number-format.ts';

/** English; amounts stand in braces. */
export const BENCH_PHRASES = {
  'at-least': 'at least {limit}',
  'at-most': 'at most {limit}',
  'at-least-error': 'at least {limit}, an error below {least}',
  'at-least-none': 'at least {limit}, an error where nothing is left',
  'own-limit': '{limit} (usual: {usual})',
  'from-to': '{from} to {to}',

  'template-choice': '‘{name}’ of the template',

  thickest: 'where the band is thickest',
  'thickest-top': 'where the band is thickest, at the top',
  'thickest-back': 'where the band is thickest, at the back',
  thinnest: 'where the band is thinnest',
  'thinnest-top': 'where the band is thinnest, at the top',
  'thinnest-back': 'where the band is thinnest, at the back',
  band: 'band',
  'band-top': 'band, at the top',
  'band-back': 'band, at the back',
  'band-across': 'band, square to its run at θ = {at}',
  'head-to-edge': 'from the head to the edge, at θ = {at}',
  'gap-narrowest': "gap '{gap}' where it is narrowest",
  'gap-beside': "beside gap '{gap}', at θ = {at}",
  'gap-bar': "bar across gap '{gap}', at θ = {at}",
  'outer-edges': 'outer edges of the band',
  strands: 'wires',
  liner: 'liner',
  'between-strands': 'between the wires, where they come nearest',
  'bore-edges': 'bore edges',
  'ridge-edge': 'ridge of the knife edge',
  'bevel-edges': 'corners of the bevels',
  'step-edge': 'upper edge of the step',
  'flat-ends': 'ends of the flat on top',
  'cut-thick': 'metal to be cut through in an emergency',
  'cut-wide': 'width to be cut in an emergency',
  'lane-seams': "lane '{lane}' at its seams",
  'bore-to-highest': 'bore to the highest stone, claw or metal',
  'bore-to-outside': 'bore to the outside',
  'no-dome': 'no dome below {width} of width',
  'bore-width': 'bore, {width} wide',
  'sits-tighter': 'below {width}; wider sits tighter: try up to ½ US size ({more}) more',
  'sits-tighter-comfort':
    'below {width}; wider sits tighter: try up to ½ US size ({more}) more, less what the comfort bore gives',
  'gauge-as-wide': 'width; measure with a gauge as wide',

  'lane-sides': "radial metal of lane '{lane}' at its sides",
  'lane-shoulder': "radial metal of lane '{lane}' at its sides and under its shoulder",
  'lane-facets': "radial metal of lane '{lane}' under its facets’ middle",
  'less-relief': '{place}, less the deepest of its relief',
  'lane-across': "lane '{lane}' across at θ = {at}",
  'beneath-inlay': "beneath inlay '{lane}' at θ = {at}",
  'inlay-radial': "inlay '{lane}', radial",

  'stones-at': 'stones at θ = {one} and {other}',
  row: "row '{row}'",
  'row-at': "row '{row}' at θ = {at}",
  'culet-open': "row '{row}' at θ = {at}, open",
  'culet-closed': "row '{row}' at θ = {at}, closed",
  'plain-metal': 'plain metal to resize at',
  'stones-round': '{count} stones all round',
  'tough-stones': 'stones that bear metal pushed onto them, or claws and bezels instead',
  'stone-brittle': '{stone}: chips or cracks under the punch',
  'corners-gently': 'no blow and no tight metal on corners',
  'stone-cleaves': '{stone}: splits along its cleavage',
  'set-after-heat': 'set after all soldering, taken out before any repair with heat',
  'stone-heat-shy': '{stone}: spoilt by a torch',
  'stone-oiled': '{stone}: mostly oiled; no torch, no ultrasonic or steam cleaner',
  'holes-of': "holes of row '{row}'",
  'under-bearings': "under the bearings of row '{row}' at θ = {at}",
  'under-seats': "under the seats of row '{row}' at θ = {at}",
  'under-holes': "under the holes of row '{row}' at θ = {at}",
  'girdles-below': "girdles of row '{row}' below the surface",
  'tables-over': "tables of row '{row}' over the band’s outside, at θ = {at}",
  'tables-in-face': "tables of row '{row}' over the side face, at θ = {at}",
  'tables-in-bore': "tables of row '{row}' over the bore, at θ = {at}",
  'near-pavilion': 'within {tolerance} of the pavilion’s {angle}',
  'bearings-of': "bearings of row '{row}'",
  'stones-of': "stones of row '{row}'",

  'claws-of': "claws of row '{row}'",
  'claws-at': "claws of row '{row}' at θ = {at}",
  'between-claws': "between claws of row '{row}'",
  'soft-claws-of': "claws of row '{row}' in {metal}",
  'metal-that-bends': 'a metal that is pushed over and stays, and can be soldered',
  'height-share': '{from} to {to} (of girdle to table)',
  'corners-covered': 'every corner within a claw’s or grain’s width of its middle',
  'corners-bare': '{bare} of {all} corners bare',

  'share-of-width': '{from} to {to} of the stones’ width',
  'channel-of': "channel of row '{row}'",
  'walls-over': "walls over the girdles of row '{row}'",
  'wall-over': "wall over the girdles of row '{row}'",
  'either-wall': "either wall of row '{row}'",
  'under-channel': "metal under the channel of row '{row}', {share} of the stones deep",

  'metal-at-stones': "metal at the stones of row '{row}'",
  'through-holes': "through-holes of row '{row}'",
  'collars-of': "walls of the collars of row '{row}'",
  'girdle-held': "girdles of row '{row}' under metal",
  'lip-over': "lip over the girdles of row '{row}'",
  'beside-openings': "lane '{lane}' beside the openings of row '{row}'",

  'grains-of': "grains of row '{row}'",
  'grains-at': "grains of row '{row}' at θ = {at}",
  'grains-below': "grains of row '{row}' below the field's floor",
  'beside-field': "lane '{lane}' beside the field of row '{row}'",
  'under-field': "metal under the field of row '{row}'",

  'inside-engraving': 'inside engraving',
  'outside-engraving': "outside engraving on lane '{lane}'",
  'under-engraving': 'under the {engraving} at θ = {at}',
  'stroke-at': 'narrowest stroke, at ‘{letter}’ of the {engraving}',
  'walls-meet': '{engraving}, where the walls of its narrowest stroke meet',
  'under-groove': "under the groove of seam '{seam}' at θ = {at}",
  'beads-edges': "beads along the edges on lane '{lane}'",
  'beads-seam': "beads along seam '{seam}' on lane '{lane}'",

  'cut-before-black': 'cut first, blackened after',
  'oxide-cut': 'cuts go through the black oxide to grey metal',
  'groove-of': "groove of seam '{seam}'",
  'soldered-joint': 'metals that can be soldered to each other',
  'pressed-in': 'pressed into an undercut channel, not soldered',
  'metals-beside': '{one} beside {other}',
  'ordinary-bench': 'whatever an ordinary bench does to gold',
  'size-remade': 'cannot be resized, made anew',
  'size-stretched': 'never smaller, a little larger by stretching or turning out the bore',
  'size-enamelled-anew': 'resized only with its enamel taken out and fired anew',
  'no-soldering': 'cannot be soldered',
  'no-heat': 'no heat',
  'no-ultrasonic': 'no ultrasonic cleaner',
  'no-steam': 'no steam cleaner',
  'material-forbids': '{metal}: {forbids}',
  'plating-thick': '{from} to {to} µm, worn through in time',
  'plating-lasts': 'solid metal',
  'enamel-let-in': 'let into a lane of metal',
  'stands-alone': 'goes through to the bore',
  'lanes-of': 'lanes {lanes}',
  'joint-of': "lanes '{one}' and '{other}'",
  'ring-cutter': 'a metal that an ordinary ring cutter gets through',
  emergency: 'tell the wearer: on a swollen finger it needs powered tools',

  'nickel-limit': 'EU: at most 0.5 µg Ni/cm² a week from the finished ring, by test (EN 1811)',
  'contains-nickel': 'contains nickel',
  'nickel-share': '{share} nickel',
  'have-tested': '{metal}, {lanes}; have the ring tested',
  'hallmark-from': 'hallmark due from {laws}',
  'in-gb': '{mass} in the UK',
  'in-nl': '{mass} in the Netherlands',
  'in-ie': '{mass} in Ireland',
  'as-gold':
    'metal of a band described as gold; other countries differ; ask an assay office or a qualified professional there',
  'as-silver':
    'metal of a band described as silver; other countries differ; ask an assay office or a qualified professional there',
  'as-platinum':
    'metal of a band described as platinum; other countries differ; ask an assay office or a qualified professional there',
  'as-palladium':
    'metal of a band described as palladium; other countries differ; ask an assay office or a qualified professional there',

  'single-stone': 'a single stone has no neighbour',
  'stones-overlap': 'the stones would overlap',
  'gaps-close': 'gaps close by {by}',
  'gaps-open': 'gaps open by {by}',
  'gaps-close-spread': 'gaps close by {by}, spread over the whole of its part of the band',
  'gaps-open-spread': 'gaps open by {by}, spread over the whole of its part of the band',
  'girdles-overlap': 'girdles would overlap by {by}',
  'short-of-gap': '{by} short of the least gap of {gap}',
} as const;

export type PhraseKey = keyof typeof BENCH_PHRASES;
export type BenchPhrases = Record<PhraseKey, string>;

/** Names of the amounts of a phrase. */
type AmountsOf<T extends string> = T extends `${string}{${infer Name}}${infer Rest}`
  ? Name | AmountsOf<Rest>
  : never;

/** A figure with its unit, or a name that all languages share: a lane's, a letter, a count. */
export type Amount =
  | { mm: number }
  | { degrees: number; digits: number }
  /** of one */
  | { share: number; digits: number }
  | { grams: number; least: number; digits: number }
  | { micrometres: number }
  | { name: string };

export interface Phrase {
  say: PhraseKey;
  of: Record<string, Words | Words[]>;
}

export type Words = Amount | Phrase;

/** @param amounts all that stand in braces in the phrase */
export function phrase<K extends PhraseKey>(
  say: K,
  ...amounts: [AmountsOf<(typeof BENCH_PHRASES)[K]>] extends [never]
    ? []
    : [Record<AmountsOf<(typeof BENCH_PHRASES)[K]>, Words | Words[]>]
): Phrase {
  return { say, of: amounts[0] ?? {} };
}

/** An angle round the band. */
export function angleRound(theta: number): Amount {
  return { degrees: degreesFromTop(theta), digits: 1 };
}

/** @param tag BCP 47, for the form of figures */
export function tell(words: Words, phrases: BenchPhrases, tag: string): string {
  const figure = (value: number, least: number, most = least) =>
    numberFormat(tag, least, most, false).format(value);
  if ('say' in words)
    return phrases[words.say].replace(/\{(\w+)\}/g, (_, name: string) =>
      [words.of[name]]
        .flat()
        .map((w) => tell(w, phrases, tag))
        .join(', '),
    );
  if ('name' in words) return words.name;
  // two decimals, a third where it matters
  if ('mm' in words) return `${figure(words.mm, 2, 3)} mm`;
  if ('degrees' in words) return `${figure(words.degrees, words.digits)}°`;
  if ('micrometres' in words) return figure(words.micrometres, 0, 2);
  if ('share' in words) return `${figure(100 * words.share, 0, words.digits)} %`;
  return `${figure(words.grams, words.least, words.digits)} g`;
}

export function inEnglish(words: Words): string {
  return tell(words, BENCH_PHRASES, 'en-GB');
}

/** A check's words, so that it can be told in any language. */
export interface CheckWords {
  limit: Words;
  measured: Words;
  place: Words;
  /** the limit is the config's own */
  ownLimit?: true;
}
